"""How well books are read that are unlike those the reader was made with.

    python -m tests.benchmarks.unlike_books --seed N --books N
    python -m tests.benchmarks.unlike_books --seed N --explained 1000   # slips that another meaning would explain

Authors with an even number are for tuning: `--talk` says what went wrong with theirs. Those with an odd number are for
the figures alone: nobody looks at their books.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

from joblib import Parallel, delayed

from tests.benchmarks.unlike_books import auditing, book, explained, truth
from tests.benchmarks.unlike_books.measuring import Measured, measure

COLUMNS = (
    ("books", "books"), ("recipes", "recipes"), ("lost", "lost"), ("misnamed", "misnamed"), ("invented", "invented"),
    ("numbers right", "numbers right/numbers"), ("wrong in silence", "wrong in silence"),
    ("sound not checked", "sound not checked/sound"), ("false CAUTION", "false CAUTION"),
    ("false WARNING", "false WARNING"), ("caught", "caught/faulty"), ("cell first", "cell first/repairable"),
    ("value first", "value first"), ("said", "unjudgeable said/unjudgeable"), ("questions", "questions"),
    ("assumed", "assumed"),
)  # fmt: skip


def one_book(author: int, layout: str | None, *, weighing: bool) -> tuple[int, dict[str, str], Measured]:
    """Make, audit and measure one author's book."""
    made = book.make(author, layout)
    report, failure = auditing.report_of(made, auditing.reader(weighing=weighing))
    measured = measure(truth.of_book(made, f"author {author}"), report)
    if failure:
        measured.talk.insert(0, f"author {author} ({made.traits['layout']}): {failure[:160]}")
        measured.counts[made.traits["layout"]]["crashes"] += failure.startswith("CRASH")
    return author, made.traits, measured


def row(name: str, counts: Counter[str]) -> str:
    """One line of the table."""
    cells = [" / ".join(str(counts[part]) for part in key.split("/")) for _, key in COLUMNS]
    return "| " + " | ".join([name, *cells]) + " |"


def table(title: str, lines: Iterable[tuple[str, Counter[str]]]) -> str:
    """A Markdown table of counts."""
    names = [title, *(name for name, _ in COLUMNS)]
    heading = ["| " + " | ".join(names) + " |", "|" + " --- |" * len(names)]
    return "\n".join([*heading, *(row(name, counts) for name, counts in lines)])


def books_report(arguments: argparse.Namespace) -> str:
    """Measure so many books and set the figures out."""
    start = time.perf_counter()
    authors = range(arguments.seed * 10_000, arguments.seed * 10_000 + arguments.books)
    work = (delayed(one_book)(a, arguments.layout, weighing=not arguments.without_weighing) for a in authors)
    results = list(Parallel(n_jobs=arguments.jobs)(work))
    whole, halves, by_trait = Measured(), {"tuning (even)": Measured(), "figures (odd)": Measured()}, {}
    for author, traits, measured in results:
        whole.add(measured)
        halves["figures (odd)" if author % 2 else "tuning (even)"].add(measured)
        for trait in ("language", "names", "unit said in", "superfat said in"):
            by_trait.setdefault(f"{trait}: {traits[trait]}", Measured()).add(measured)
    ends = [(name, half.whole()) for name, half in halves.items()] + [("all", whole.whole())]
    parts = [table("layout", [*sorted(whole.counts.items()), *ends])]
    if arguments.by_trait:
        parts.append(table("makers", [(name, by_trait[name].whole()) for name in sorted(by_trait)]))
    if arguments.authors:
        parts.append(table("author", [(f"{a} {t['layout']}", m.whole()) for a, t, m in results]))
    if arguments.talk:
        parts.append("\n".join(halves["tuning (even)"].talk))
    took = time.perf_counter() - start
    counts = whole.whole()
    parts.append(f"{counts['books not audited']} books not audited, {counts['crashes']} of them crashes; {took:.0f} s")
    return "\n\n".join(parts)


def explained_report(arguments: argparse.Namespace) -> str:
    """Measure slips that another meaning of a label would explain."""
    read = auditing.reader(weighing=not arguments.without_weighing)
    by_doubt = explained.measured(arguments.seed, arguments.explained, read)
    lines = ["| doubt | " + " | ".join(explained.OUTCOMES) + " |", "|" + " --- |" * (1 + len(explained.OUTCOMES))]
    for doubt, counts in [*sorted(by_doubt.items()), ("all", sum(by_doubt.values(), Counter()))]:
        lines.append(f"| {doubt} | " + " | ".join(str(counts[outcome]) for outcome in explained.OUTCOMES) + " |")
    return "\n".join(lines)


def keep(arguments: argparse.Namespace) -> None:
    """Write the workbooks of the authors for tuning into a folder, to look at."""
    arguments.keep.mkdir(parents=True, exist_ok=True)
    first = arguments.seed * 10_000
    for author in range(first + first % 2, first + arguments.books, 2):
        book.make(author, arguments.layout).write(arguments.keep / f"{author}.xlsx")


def main(argv: Sequence[str] | None = None) -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--books", type=int, default=60)
    parser.add_argument("--layout", choices=list(book.LAYOUTS), help="all books in this layout")
    parser.add_argument(
        "--explained", type=int, default=0, metavar="ROWS", help="measure so many explainable slips instead"
    )
    parser.add_argument("--without-weighing", action="store_true", help="with the reader that an audit has today")
    parser.add_argument("--by-trait", action="store_true", help="also by language, names, units, superfat")
    parser.add_argument("--authors", action="store_true", help="also a line for each author")
    parser.add_argument("--talk", action="store_true", help="also what went wrong, of the authors for tuning")
    parser.add_argument("--keep", type=Path, metavar="FOLDER", help="write the books of the authors for tuning there")
    parser.add_argument("--jobs", type=int, default=1)
    arguments = parser.parse_args(argv)
    if arguments.keep:
        keep(arguments)
    print(explained_report(arguments) if arguments.explained else books_report(arguments))


if __name__ == "__main__":
    sys.exit(main())
