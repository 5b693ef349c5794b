"""The one sheet to answer on: questions first, then what to look at, worst first, each with a place for the answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from sheetcheck.faults import otherwise
from sheetcheck.model import Audit, CellContent, Choice, Finding, Link, NewSheet, PossibleAnswer, Question, Styled
from sheetcheck.reading.answers import (
    ANSWERS,
    ASK_FOR_A_MEANING,
    LOOK_LATER,
    ROLES,
    YES,
    asked_word,
    keys_of,
    listed,
    listed_question,
    understood,
)
from sheetcheck.reading.own_superfat import is_word
from sheetcheck.report.finding_words import A_GUESS, Companions, cause, decided, in_short, suggested, title
from sheetcheck.report.fitting import TITLE_HEIGHT, heights, signal_width, wide_enough
from sheetcheck.report.places import FINDINGS
from sheetcheck.report.words import (
    FINDINGS_HEADINGS,
    HOW_TO_WORK,
    NOTHING_TO_DO,
    QUESTION,
    TITLES,
    WHOLE_BOOK,
    and_more,
    meaning,
    signal_with_shape,
)
from sheetcheck.rules.support.wording import joined
from sheetcheck.words import later, number, tr

WIDTHS = (13, 16, 17, 13, 42, 36, 15, 60, 15, 0, 0, 0)  # what is for the program is hidden
LINKS = 2  # the column of links, from 0
HEADING_ROW = 3
NAMES_SHOWN = 3
ACROSS, LAST = 8, "L"  # columns that the sentence runs across; the last one
ANSWER = "G"
MOST_CHOICES = 2_000  # rows with a drop-down of their own; beyond that the plain one serves


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Order findings by signal word; within one they keep their order."""
    return sorted(findings, key=lambda f: -f.signal.rank)


def first_row_of_findings(audit: Audit) -> int:
    """Return the row of the first finding: below the questions."""
    return HEADING_ROW + 1 + len(audit.book.questions)


@dataclass(frozen=True, slots=True)
class _Row:
    cells: list[CellContent]
    options: tuple[str, ...]
    free: bool  # whether anything may be typed


@otherwise(None, later("The list of findings is left out of the copy."))
def findings_sheet(audit: Audit, findings: Sequence[Finding]) -> NewSheet:
    """Return the list to work down."""
    companions = Companions(findings)
    listed_ = listed(findings, audit.book)
    keys = keys_of(findings, audit.book)
    lines = [
        *(_question(question, audit) for question in audit.book.questions),
        *(_finding(f, key, known, audit, companions) for f, key, known in zip(findings, keys, listed_, strict=True)),
    ]
    rows: list[list[CellContent]] = [
        [Styled(tr(TITLES["findings"]), "title")],
        [Styled("\n".join(tr(sentence) for sentence in HOW_TO_WORK), "sentence")],
        [Styled(tr(h), "heading") for h in FINDINGS_HEADINGS],
        *(line.cells for line in lines),
    ]
    widths: list[float] = [*WIDTHS]
    widths[0] = signal_width(WIDTHS[0])
    widths[LINKS] = wide_enough(WIDTHS[LINKS], (place(finding) for finding in findings))
    last = max(len(rows), HEADING_ROW + 1)
    if not lines:
        rows.append([Styled(tr(NOTHING_TO_DO), "strong")])
    return NewSheet(
        FINDINGS,
        rows,
        widths=widths,
        heights=TITLE_HEIGHT | heights(rows, widths, {2: float(sum(widths[:ACROSS]))}),
        merges=("A2:H2",),
        freeze="C4",
        filter=f"A{HEADING_ROW}:{LAST}{last}",
        choices=tuple(_choices(lines)),
        landscape=True,
        repeat_rows=(HEADING_ROW, HEADING_ROW),
        tab=findings[0].signal if findings else None,
        print_area=f"A1:H{last}",
    )


def _choices(lines: Sequence[_Row]) -> Iterator[Choice]:
    """Yield the drop-downs, one for each run of rows that offer the same."""
    if len(lines) > MOST_CHOICES:
        yield Choice(f"{ANSWER}{HEADING_ROW + 1}:{ANSWER}{HEADING_ROW + len(lines)}", _said(ANSWERS), free=True)
        return
    row = HEADING_ROW + 1
    for (options, free), run in groupby(lines, key=lambda line: (line.options, line.free)):
        last = row + len(list(run)) - 1
        yield Choice(f"{ANSWER}{row}:{ANSWER}{last}" if last > row else f"{ANSWER}{row}", options, free)
        row = last + 1


def _said(answers: Iterable[str]) -> tuple[str, ...]:
    return tuple(tr(answer) for answer in answers)


# --------------------------------------------------------------------------- questions


def _question(question: Question, audit: Audit) -> _Row:
    sheet, _, cell = question.cells[0].rpartition("!") if question.cells else ("", "", "")
    answer = audit.meanings.get(question.text, "")
    cells: list[CellContent] = [
        Styled(f"? {tr(QUESTION)}", "question"),
        Styled(names_of(question.recipes, audit), "wrap"),
        Link(sheet, cell, question.cells[0]) if sheet else None,
        Styled(tr(question.text) if is_word(question.text) else question.text, "wrap"),
        Styled(question.ask, "wrap"),
        Styled(choices_said(question), "wrap"),
        Styled(answer or None, "input"),
        Styled(joined(_not_taken(answer), _where_else(question)), "wrap"),
        Styled(tr(QUESTION), "muted"),
        None,
        Styled(question.text, "muted"),
        Styled(listed_question(question), "muted"),
    ]
    roles = () if is_word(question.text) else _said(ROLES)
    options = dict.fromkeys((*(meaning(c.means) for c in choices(question)), *roles, tr(LOOK_LATER)))
    return _Row(cells, tuple(options), free=True)


def choices(question: Question) -> list[PossibleAnswer]:
    """Return what can be answered: what is known to be an ingredient, or to be none."""
    return [choice for choice in question.choices if understood(choice.means) is not None]


def choices_said(question: Question) -> str:
    """Say what a word may mean, likeliest first, and in how many recipes that comes out as soap."""
    return "; ".join(
        tr("{meaning} (fits {fits} of {all})", meaning=meaning(c.means), fits=number(c.fits, 0), all=number(all_, 0))
        if (all_ := len(question.recipes)) and c.fits
        else meaning(c.means)
        for c in choices(question)
    )


def _not_taken(answer: str) -> str:
    """Say that an answer of the last time was not understood: the question would not be asked again otherwise."""
    return tr("You answered “{answer}”: that is no ingredient that is known.", answer=answer) if answer else ""


def _where_else(question: Question) -> str:
    others = question.cells[1:]
    return tr("Also in {cells}.", cells=and_more(others[:5], len(others[5:]))) if others else ""


# --------------------------------------------------------------------------- findings


def _finding(finding: Finding, key: str, known: str, audit: Audit, companions: Companions) -> _Row:
    word = asked_word(finding)
    cells: list[CellContent] = [
        Styled(signal_with_shape(finding.signal), finding.signal.value),
        Styled(who(finding, audit), "wrap"),
        Link(finding.sheet, finding.cell, place(finding)),
        Styled(finding.shown, "wrap"),
        Styled(title_or_short(finding), "wrap"),
        Styled(to_hold(finding, companions), suggestion_style(finding)),
        Styled(audit.meanings.get(word) or tr(finding.answer) or None, "input"),
        Styled(in_full(finding), "wrap"),
        Styled(finding.rule, "muted"),
        Styled(key, "muted"),
        Styled(word or None, "muted"),
        Styled(known or None, "muted"),
    ]
    if finding.rule in ASK_FOR_A_MEANING:
        return _Row(cells, _said((*ROLES, LOOK_LATER)), free=True)
    return _Row(cells, _said(a for a in ANSWERS if a != YES or finding.certainty is not None), free=False)


def to_hold(finding: Finding, companions: Companions) -> str:
    """Say what the maker has decided, else what is suggested, here or by another finding, else what was expected."""
    return decided(finding) or suggested(finding) or companions.goes_with(finding) or finding.expected


def title_or_short(finding: Finding) -> str:
    """Say what is the matter without what is suggested, which stands beside it."""
    return f"{title(finding)}." if finding.certainty is not None else in_short(finding)


def in_full(finding: Finding) -> str:
    """Say all there is to say: what is the matter, what most likely happened, where to look."""
    look_at = tr("Look at: {places}.", places=finding.look_at) if finding.look_at else ""
    return "\n".join(filter(None, (finding.message, cause(finding), look_at)))


def suggestion_style(finding: Finding) -> str:
    """Return the look of a suggestion: one that is sure and a guess do not look alike."""
    if finding.certainty is None:
        return "wrap"
    if finding.certainty == "sure":
        return "sure"
    return "a guess" if finding.repairs[0].probability < A_GUESS else "wrap"


def place(finding: Finding) -> str:
    """Name the cell of a finding as a formula does."""
    return f"{finding.sheet}!{finding.cell}"


def who(finding: Finding, audit: Audit) -> str:
    """Name the recipes that a finding is about."""
    return names_of(finding.about(), audit)


def names_of(numbers: Sequence[int], audit: Audit) -> str:
    """Name some recipes; the whole book where they are none."""
    known = [r for r in numbers if r in audit.recipes.index]
    if not known:
        return tr(WHOLE_BOOK)
    shown = known if len(known) <= NAMES_SHOWN else known[: NAMES_SHOWN - 1]
    return and_more([str(audit.recipes.at[r, "name"]) for r in shown], len(known) - len(shown))
