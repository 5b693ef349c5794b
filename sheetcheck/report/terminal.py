"""What the terminal shows: the verdict first, then counts, then the worst findings in the words of the sheet."""

from __future__ import annotations

import textwrap

from rich.console import Console
from rich.markup import escape

from sheetcheck.model import Audit, Finding, Signal
from sheetcheck.reading.answers import beside_questions
from sheetcheck.report.finding_words import Companions, decided, decided_sentence, most_likely
from sheetcheck.report.findings_sheet import choices_said
from sheetcheck.report.json_report import in_danger, summary
from sheetcheck.report.places import FINDINGS
from sheetcheck.report.words import (
    REMINDER,
    questions_sentence,
    recipes,
    signal_with_shape,
    since_last_sentence,
    verdict_sentence,
)
from sheetcheck.rules.support.wording import joined
from sheetcheck.words import number, of_the_translation, speaking, tr
from sheetcheck.workbook.tabs import tab_name

COLOURS = {
    Signal.DANGER: "bold white on red",
    Signal.WARNING: "black on dark_orange",
    Signal.CAUTION: "black on yellow",
    Signal.NOTICE: "white on blue",
}
WORST_SHOWN = 12


def show(audit: Audit, console: Console, *, at_most: int = WORST_SHOWN) -> None:
    """Print the verdict, the counts and the worst findings."""
    with speaking(audit.book.manner.voice()):
        _show(audit, console, at_most)


def _show(audit: Audit, console: Console, at_most: int) -> None:
    counts = summary(audit)
    console.print(f"[bold]{escape(verdict_sentence(counts, in_danger(audit)))}[/bold]")
    sentences = (
        since_last_sentence(audit.since_last),
        decided_sentence(audit.findings),
        questions_sentence(audit.book.questions),
    )
    for sentence in filter(None, sentences):
        console.print(escape(sentence), highlight=False)
    _show_questions(audit, console, at_most)
    amounts = {"read": number(counts["amount_cells_read"], 0), "all": number(counts["amount_cells"], 0)}
    read = tr("amounts read: {read} of {all}", **amounts)
    console.print(
        "  ".join(f"[{COLOURS[s]}] {signal_with_shape(s)} [/] {number(counts[s], 0)}" for s in Signal)
        + f"   {escape(read)}"
    )
    worst = sorted(
        (f for f in beside_questions(audit.findings, audit.book) if f.signal is not Signal.NOTICE),
        key=lambda f: (-f.signal.rank, f.recipe or 0),
    )
    companions = Companions(worst)
    for finding in worst[:at_most]:
        _show_finding(finding, audit, console, companions)
    if len(worst) > at_most:
        more = number(len(worst) - at_most, 0)
        console.print(escape(tr("… and {more} more; the checked copy lists them all.", more=more)))
    _show_not_checked(audit, console, at_most)
    console.print(f"\n{escape(joined(tr(REMINDER), of_the_translation()))}", highlight=False)


def _show_questions(audit: Audit, console: Console, at_most: int) -> None:
    for question in audit.book.questions[:at_most]:
        console.print()
        where = question.cells[0] if question.cells else ""
        console.print(f"[bold]? {escape(question.ask)}[/bold]  {escape(where)}", highlight=False)
        console.print(escape(_indented(choices_said(question), console)), highlight=False)
    if audit.book.questions:
        answer = tr(
            "Answer in the checked copy, on “{sheet}”, save it and check again; or here: --answer “{word} = …”",
            sheet=tab_name(FINDINGS),
            word=audit.book.questions[0].text,
        )
        console.print(f"\n{escape(answer)}", highlight=False)


def _show_finding(finding: Finding, audit: Audit, console: Console, companions: Companions) -> None:
    names = [str(audit.recipes.at[r, "name"]) for r in finding.about()]
    who = names[0] if len(names) == 1 else recipes(len(names))
    console.print()
    console.print(
        f"[{COLOURS[finding.signal]}] {signal_with_shape(finding.signal)} [/] [bold]{escape(who)}[/bold]"
        f"  {escape(finding.sheet)}!{finding.cell}",
        highlight=False,
    )
    for line in (finding.message, most_likely(finding), companions.goes_with(finding), decided(finding)):
        if line:
            console.print(escape(_indented(line, console)), highlight=False)


def _indented(text: str, console: Console) -> str:
    """Indent a paragraph; on a terminal, wrap it to the width."""
    if not console.is_terminal:
        return f"    {text}"
    return textwrap.fill(text, max(console.width, 40), initial_indent="    ", subsequent_indent="    ")


def _show_not_checked(audit: Audit, console: Console, at_most: int) -> None:
    unchecked = audit.recipes[audit.recipes["verdict"] == "not checked"]
    if unchecked.empty:
        return
    console.print()
    console.print(f"[bold]{escape(tr('Not checked'))}[/bold]")
    for r in unchecked.head(at_most).to_dict("records"):
        said = {"recipe": r["name"], "sheet": r["sheet"], "reason": r["why_not_checked"]}
        line = tr("{recipe}, {sheet}: {reason}", **said)
        console.print(escape(_indented(line, console)), highlight=False)
    if len(unchecked) > at_most:
        console.print(escape(tr("… and {more} more.", more=number(len(unchecked) - at_most, 0))))
