"""What there is to say of a workbook as a whole, each as one sentence."""

from __future__ import annotations

from collections.abc import Iterator

from sheetcheck.model import address
from sheetcheck.workbook.cells import CellArrays
from sheetcheck.workbook.package import Package, SheetEntry

_SHOWN = 5


def on_package(package: Package) -> Iterator[str]:
    """Say what there is to say of the package: signature, macros, links, calculation, sheets hidden or missing."""
    kinds = [r.kind for r in package.relationships(package.workbook_part)]
    if any(r.type.endswith("/digital-signature/origin") for r in package.relationships()):
        yield "The workbook is digitally signed; the signature does not hold for an annotated copy."
    if "vbaProject" in kinds or any("acrosheet" in sheet.kind for sheet in package.sheets):
        yield "The workbook contains macros; they are never run, and a copy keeps them."
    links = kinds.count("externalLink")
    if links:
        others = "another workbook" if links == 1 else f"{links} other workbooks"
        yield f"Formulas take values from {others}; the values last stored are used."
    calculation = package.workbook.find("{*}calcPr")
    if calculation is not None and calculation.get("calcMode") == "manual":
        yield "Calculation is set to manual; results of formulas may be out of date."
    for sheet in package.sheets:
        yield from _on_entry(sheet)


def _on_entry(sheet: SheetEntry) -> Iterator[str]:
    if not sheet.part:
        yield f'The sheet "{sheet.name}" is listed, but its contents are missing from the file.'
    elif sheet.state != "visible" and sheet.is_worksheet:
        yield f'The sheet "{sheet.name}" is hidden; it is read like the others.'


def on_sheet(sheet: SheetEntry, cells: CellArrays) -> Iterator[str]:
    """Say what is odd about the cells of one sheet."""
    if cells.without_text:
        yield (
            f'On the sheet "{sheet.name}" the text of {cells.without_text} cells is missing from the file; '
            "they count as errors."
        )
    if cells.repeated:
        named = ", ".join(address(*place) for place in cells.repeated[:_SHOWN])
        more = " and others" if len(cells.repeated) > _SHOWN else ""
        yield f'On the sheet "{sheet.name}" the file holds {named}{more} more than once; only one of each is read.'
