"""How each sheet of the book was understood: a small map of it, what was not understood first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from sheetcheck.faults import otherwise
from sheetcheck.model import (
    Audit,
    CellContent,
    Choice,
    ColumnReading,
    Link,
    NewSheet,
    NotUnderstood,
    SheetAccount,
    SheetReading,
    Styled,
    column_letters,
)
from sheetcheck.reading.answers import ROLES
from sheetcheck.reading.text import fold
from sheetcheck.report.findings_sheet import names_of
from sheetcheck.report.fitting import TITLE_HEIGHT, heights
from sheetcheck.report.places import READING
from sheetcheck.report.words import (
    ALL_KNOWN,
    ALL_READ,
    AS_YOU_ANSWERED,
    ASSUMED_HEADINGS,
    ASSUMED_SENTENCE,
    NOT_READ,
    NOT_READ_HEADINGS,
    NOT_READ_OF_NUMBERS,
    NUMBERS_HEADINGS,
    PASSED_OVER,
    READ_AS,
    READING_HEADINGS,
    READING_SENTENCE,
    TITLES,
    UNIT_FROM,
    and_more,
    meaning,
    recipes,
    sentence_case,
)
from sheetcheck.words import later, number, tr

WIDTHS = (18, 30, 30, 54, 18, 0, 0)
ACROSS = float(sum(WIDTHS[:4]))  # characters that a sentence runs across
ANSWER = "E"
Row = list[CellContent]


@otherwise(None, later("The sheet on how the book was read is left out of the copy."))
def reading_sheet(audit: Audit) -> NewSheet:
    """Return how the book was read."""
    rows: list[Row] = [[Styled(tr(TITLES["reading"]), "title")], [Styled(tr(READING_SENTENCE), "sentence")], []]
    rows += _not_read(audit.book.not_understood)
    rows += _numbers(audit.book.account)
    assumed = _assumed(audit)
    choices = _correct(len(assumed), len(rows) + len(_above_assumed()))
    rows += [*_above_assumed(), *assumed] if assumed else []
    units = _units_in_cells(audit)
    for sheet in audit.book.sheets:
        rows += [[], _title(sheet)]
        rows += ([Styled(_sentence(sentence), "sentence")] for sentence in sheet.evidence)
        if sheet.columns:
            rows.append([Styled(tr(heading), "heading") for heading in READING_HEADINGS])
            rows += [_column(column, units.get((sheet.sheet, column.place), "")) for column in sheet.columns]
    across = [place for place, cells in enumerate(rows, 1) if len(cells) == 1 and _is_a_sentence(cells[0])]
    return NewSheet(
        READING,
        rows,
        widths=WIDTHS,
        heights=TITLE_HEIGHT | heights(rows, WIDTHS, dict.fromkeys(across, ACROSS)),
        merges=tuple(f"A{place}:D{place}" for place in across),
        choices=choices,
    )


def _is_a_sentence(content: CellContent) -> bool:
    return isinstance(content, Styled) and content.style in ("sentence", "strong")


def _not_read(found: Iterable[NotUnderstood]) -> list[Row]:
    rows: list[Row] = [
        [
            Styled(tr(NOT_READ), "not checked"),
            Link(n.sheet, n.cell, f"{n.sheet}!{n.cell}"),
            Styled(n.what, "wrap"),
            Styled(n.why, "wrap"),
        ]
        for n in found
    ]
    if not rows:
        return [[Styled(tr(ALL_READ), "strong")]]
    return [[Styled(tr(heading), "heading") for heading in NOT_READ_HEADINGS], *rows]


def _numbers(account: Iterable[SheetAccount]) -> Iterator[Row]:
    """Yield what became of the numbers of each sheet that holds a recipe."""
    lines = list(account)
    if lines:
        yield []
        yield [Styled(tr(heading), "heading") for heading in (*NUMBERS_HEADINGS, "")]
    for a in lines:
        left = tr(NOT_READ_OF_NUMBERS, count=number(a.not_read, 0)) if a.not_read else tr(ALL_KNOWN)
        known = tr("{explained}; {left}", explained=number(a.explained, 0), left=left)
        yield [Styled(a.sheet, "wrap"), Styled(a.numbers, "count"), Styled(a.used, "count"), Styled(known, "wrap")]


def _above_assumed() -> list[Row]:
    return [[], [Styled(tr(ASSUMED_SENTENCE), "sentence")], [Styled(tr(h), "heading") for h in ASSUMED_HEADINGS]]


def _assumed(audit: Audit) -> list[Row]:
    """Return what was taken to mean something, by the book as a whole or by an answer."""
    named = {fold(a.text) for a in audit.book.assumed}
    found = [
        _assumption(a.text, a.cells, a.means, a.ground, audit.meanings.get(a.text, ""), a.recipes, audit)
        for a in audit.book.assumed
    ]
    found += [
        _assumption(word, (), means, tr(AS_YOU_ANSWERED), meaning(means), (), audit)
        for word, means in audit.meanings.items()
        if fold(word) not in named
    ]
    return found


def _assumption(  # noqa: PLR0913, PLR0917 - one argument a column
    text: str,
    cells: Sequence[str],
    means: str,
    ground: str,
    answer: str,
    numbers: Sequence[int],
    audit: Audit,
) -> Row:
    sheet, _, cell = cells[0].rpartition("!") if cells else ("", "", "")
    about = tr("{ground} ({recipes})", ground=ground, recipes=names_of(numbers, audit)) if numbers else ground
    return [
        Styled(text, "wrap"),
        Link(sheet, cell, and_more(cells[:1], len(cells) - 1)) if sheet else None,
        Styled(meaning(means), "wrap"),
        Styled(about, "wrap"),
        Styled(answer or None, "input"),
        None,
        Styled(text, "muted"),
    ]


def _correct(count: int, above: int) -> tuple[Choice, ...]:
    if not count:
        return ()
    return (Choice(f"{ANSWER}{above + 1}:{ANSWER}{above + count}", tuple(map(tr, ROLES)), free=True),)


def _title(sheet: SheetReading) -> Row:
    count = Styled(recipes(sheet.recipes), "text") if sheet.recipes else None
    return [Styled(sheet.sheet, "strong"), Styled(tr(sheet.layout), "text"), count, _where(sheet)]


def _where(sheet: SheetReading) -> CellContent:
    return Styled(sheet.range, "text") if sheet.range else None


def _column(column: ColumnReading, in_cells: str) -> Row:
    unit = tr(UNIT_FROM[column.unit_from], unit=column.unit) if column.unit and column.unit_from else in_cells
    role = tr(PASSED_OVER.get(column.role, column.role))
    return [
        Styled(column.place, "text"),
        Styled(column.heading, "wrap"),
        Styled(tr(READ_AS, role=role, substance=tr(column.substance)) if column.substance else role, "wrap"),
        Styled("; ".join(filter(None, (unit, column.why))), "wrap"),
    ]


def _units_in_cells(audit: Audit) -> dict[tuple[str, str], str]:
    """Return the units of the amounts in each column, by sheet and letter, and where they were had from."""
    c = audit.book.components[["sheet", "column", "unit", "unit_from"]].dropna().drop_duplicates()
    found: dict[tuple[str, str], dict[str, dict[str, None]]] = {}
    for sheet, column, unit, unit_from in c.astype({"unit": str, "unit_from": str}).itertuples(index=False):
        found.setdefault((str(sheet), column_letters(column)), {}).setdefault(unit_from, {})[unit] = None
    return {
        place: "; ".join(tr(UNIT_FROM[source], unit=", ".join(units)) for source, units in said.items())
        for place, said in found.items()
    }


def _sentence(text: str) -> str:
    said = sentence_case(text).rstrip(".")
    return said if said.endswith("…") else f"{said}."
