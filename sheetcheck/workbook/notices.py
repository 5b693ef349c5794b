"""What there is to say of a workbook as a whole, each as one sentence."""

from __future__ import annotations

from collections.abc import Iterator

from sheetcheck.model import address
from sheetcheck.words import Sentence, later
from sheetcheck.workbook.cells import CellArrays
from sheetcheck.workbook.package import Package, SheetEntry

SIGNED = Sentence("The workbook is digitally signed; the signature does not hold for a checked copy.")
_SHOWN = 5


def hidden(sheet: str) -> Sentence:
    """Say that a sheet is hidden."""
    return Sentence('The sheet "{sheet}" is hidden; it is read like the others.', sheet=sheet)


def on_package(package: Package) -> Iterator[Sentence]:
    """Say what there is to say of the package: signature, macros, links, calculation, sheets hidden or missing."""
    kinds = [r.kind for r in package.relationships(package.workbook_part)]
    if any(r.type.endswith("/digital-signature/origin") for r in package.relationships()):
        yield SIGNED
    if "vbaProject" in kinds or any("acrosheet" in sheet.kind for sheet in package.sheets):
        yield Sentence("The workbook contains macros; they are never run, and a copy keeps them.")
    links = kinds.count("externalLink")
    if links == 1:
        yield Sentence("Formulas take values from another workbook; the values last stored are used.")
    elif links:
        yield Sentence(
            "Formulas take values from {count} other workbooks; the values last stored are used.", count=links
        )
    calculation = package.workbook.find("{*}calcPr")
    if calculation is not None and calculation.get("calcMode") == "manual":
        yield Sentence("Calculation is set to manual; results of formulas may be out of date.")
    for sheet in package.sheets:
        yield from _on_entry(sheet)


def _on_entry(sheet: SheetEntry) -> Iterator[Sentence]:
    if not sheet.part:
        yield Sentence('The sheet "{sheet}" is listed, but its contents are missing from the file.', sheet=sheet.name)
    elif sheet.state != "visible" and sheet.is_worksheet:
        yield hidden(sheet.name)


def on_sheet(sheet: SheetEntry, cells: CellArrays) -> Iterator[Sentence]:
    """Say what is odd about the cells of one sheet."""
    if cells.without_text:
        yield Sentence(
            'On the sheet "{sheet}" the text of {count} cells is missing from the file; they count as errors.',
            sheet=sheet.name,
            count=cells.without_text,
        )
    if cells.repeated:
        some = later('On the sheet "{sheet}" the file holds {cells} more than once; only one of each is read.')
        many = later(
            'On the sheet "{sheet}" the file holds {cells} and others more than once; only one of each is read.'
        )
        named = ", ".join(address(*place) for place in cells.repeated[:_SHOWN])
        yield Sentence(some if len(cells.repeated) <= _SHOWN else many, sheet=sheet.name, cells=named)
