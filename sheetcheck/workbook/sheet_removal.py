"""Sheets taken out of a workbook, with all parts that only they used."""

from __future__ import annotations

from collections.abc import Collection

from lxml import etree

from sheetcheck.workbook.package_edit import PackageEdit, relationship_id, serialise
from sheetcheck.workbook.sheet_strip import without_sheets


def remove_sheets(edit: PackageEdit, names: Collection[str]) -> None:
    """Take out the sheets of these names; the order in which cells were last calculated is forgotten with them."""
    workbook = edit.source.workbook_part
    before = _reachable(edit)
    root = edit.tree(workbook)
    listed = root.find("{*}sheets")
    if listed is None:
        return
    folded = {name.lower() for name in names}
    old = list(listed.iterfind("{*}sheet"))
    gone = [e for e in old if e.get("name", "").lower() in folded]
    for element in gone:
        edit.unrelate(workbook, relationship_id(element))
        listed.remove(element)
    kept = [e for e in old if e not in gone]
    _renumber(root, {old.index(e): kept.index(e) for e in kept})
    _forget_references(root, [e.get("name", "") for e in gone])
    for relationship in edit.relationships(workbook):
        if relationship.kind == "calcChain":
            edit.unrelate(workbook, relationship.id)
    edit.put(workbook, serialise(root))
    for part in before - _reachable(edit):
        edit.remove(part)


def _reachable(edit: PackageEdit) -> set[str]:
    """Return all parts that relationships lead to from the package."""
    found: set[str] = set()
    waiting = [""]
    while waiting:
        for relationship in edit.relationships(waiting.pop()):
            target = relationship.target
            if not relationship.external and target in edit and target not in found:
                found.add(target)
                waiting.append(target)
    return found


def _renumber(root: etree._Element, places: dict[int, int]) -> None:
    """Names of one sheet, and the views, refer to sheets by their place."""
    for name in list(root.iterfind("{*}definedNames/{*}definedName")):
        place = name.get("localSheetId")
        if place is None or not place.isdigit():
            continue
        parent = name.getparent()
        if int(place) in places:
            name.set("localSheetId", str(places[int(place)]))
        elif parent is not None:
            parent.remove(name)
    names = root.find("{*}definedNames")
    if names is not None and not len(names):
        root.remove(names)
    for view in root.iterfind("{*}bookViews/{*}workbookView"):
        for attribute in ("activeTab", "firstSheet"):
            place = view.get(attribute, "")
            if place.isdigit():
                view.set(attribute, str(places.get(int(place), 0)))


def _forget_references(root: etree._Element, sheets: list[str]) -> None:
    change = without_sheets(sheets)
    for name in root.iterfind("{*}definedNames/{*}definedName"):
        if name.text and "!" in name.text:
            name.text = change(name.text.encode()).decode()
