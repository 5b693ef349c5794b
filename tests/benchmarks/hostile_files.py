"""Files made to exhaust the machine: what each costs, and how it ends.

    python -m tests.benchmarks.hostile_files [NAME ...] [--keep FOLDER] [--most SECONDS]

Each is made, audited with its copy by the command in a process of its own, and told of in one line: processor seconds,
peak memory, exit status, the last sentence. Aims: 10 s and 1 GB at most, and no word of Python.
"""

from __future__ import annotations

import argparse
import io
import itertools
import os
import random
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name

from tests.workbook.raw_packages import LINKS, MAIN, write_package

FATS = ("Olive", "Coconut", "Palm", "Castor", "Shea", "Sunflower")
PYTHON = ("Traceback", "Error:", "Warning:", "numpy", "pandas", "NoneType", "math domain")
MOST_MEMORY = 8 << 30  # a process that takes more is ended

Row = list[object]


@dataclass(frozen=True)
class Ended:
    """How one audit ended."""

    seconds: float
    megabytes: float
    status: int
    last: str
    python: bool  # whether a word of Python was seen


# --------------------------------------------------------------------------- rows through a well-kept writer


def _book(target: Path, rows: Iterable[Row], *, sheet: str = "Recipes") -> None:
    with xlsxwriter.Workbook(str(target), {"constant_memory": True}) as book:
        page = book.add_worksheet(sheet)
        for number, row in enumerate(rows):
            page.write_row(number, 0, row)


def _headings() -> Row:
    return ["Recipe", *(f"{fat} (g)" for fat in FATS), "Lye (g)", "Water (g)"]


def faulty_rows(count: int, *, wrong: float = 1.0) -> Iterator[Row]:
    """Yield a heading and recipes of which a share holds an amount with a slip of a digit or a point."""
    chance = random.Random(20)  # noqa: S311 - made-up books, the same at every run
    yield _headings()
    for number in range(count):
        fats = [10 * chance.randint(5, 60) for _ in FATS]
        lye = round(sum(fats) * 0.137)
        amounts = [*fats, lye, round(lye * 2.3)]
        if chance.random() < wrong:
            cell = chance.randrange(len(amounts))
            amounts[cell] = round(amounts[cell] * chance.choice((10, 0.1, 2, 0.5, 1.6, 28.35)), 1)
        yield [f"Soap {number}", *amounts]


def faulty(count: int) -> Callable[[Path], object]:
    """Recipes, one in each row, each with a slip."""
    return lambda target: _book(target, faulty_rows(count))


def fats(count: int) -> Callable[[Path], object]:
    """One recipe of so many fats, in columns."""
    names = [f"{FATS[n % len(FATS)]} {n}" for n in range(count)]
    return lambda target: _book(
        target,
        [
            ["Recipe", *(f"{FATS[n % len(FATS)]} (g)" for n in range(count)), "Lye (g)", "Water (g)"],
            ["All of them", *(float(100 + len(name)) for name in names), 14.0 * count, 30.0 * count],
            ["Again", *(float(90 + len(name)) for name in names), 13.0 * count, 30.0 * count],
        ],
    )


def columns(heading: str, count: int) -> Callable[[Path], object]:
    """As many columns, all headed alike, above three recipes."""
    return lambda target: _book(
        target,
        [["Recipe", *([heading] * (count - 1))]] + [[f"Soap {n}", *([100.0 + n] * (count - 1))] for n in range(3)],
    )


def long_list(count: int) -> Callable[[Path], object]:
    """One recipe of so many lines."""

    def lines() -> Iterator[Row]:
        yield ["Recipe", "Ingredient", "Amount (g)"]
        for number in range(count - 2):
            yield ["One", FATS[number % len(FATS)], 100.0 + number % 7]
        yield ["One", "Lye", 14.0 * count]
        yield ["One", "Water", 30.0 * count]

    return lambda target: _book(target, lines())


def all_rows(content: object) -> Callable[[Path], object]:
    """Every row of a sheet, with a number or a word in it."""
    return lambda target: _book(target, ([content] for _ in range(1_048_576)))


def many_cells(count: int) -> Callable[[Path], object]:
    """So many cells with numbers, a hundred in a row."""
    letters = [xl_col_to_name(column) for column in range(100)]

    def rows() -> Iterator[bytes]:
        for row in range(1, count // len(letters) + 1):
            cells = "".join(f'<c r="{letter}{row}"><v>{row % 97}</v></c>' for letter in letters)
            yield f'<row r="{row}">{cells}</row>'.encode()

    return _raw_rows(rows())


def many_sheets(count: int) -> Callable[[Path], object]:
    """So many sheets, each with a recipe."""

    def write(target: Path) -> None:
        with xlsxwriter.Workbook(str(target), {"in_memory": True}) as book:
            for number in range(count):
                page = book.add_worksheet(f"Soap {number}")
                for row, (name, grams) in enumerate((("Olive", 500), ("Coconut", 250), ("Lye", 103), ("Water", 240))):
                    page.write_row(row, 0, [name, f"{grams + number % 9} g"])

    return write


def amounts(*of_row: object) -> Callable[[Path], object]:
    """A few sound recipes, and one whose olive oil, coconut oil and lye are these."""
    sound = list(faulty_rows(8, wrong=0.0))
    odd = ["Odd", of_row[0], of_row[1], 100, 50, 40, 80, of_row[2], 160]
    return lambda target: _book(target, [*sound, odd])


def sheet_names(name: str) -> Callable[[Path], object]:
    """A sound book whose sheet has this name."""
    return lambda target: _book(target, faulty_rows(30, wrong=0.2), sheet=name)


# --------------------------------------------------------------------------- parts written byte by byte


def _raw_rows(rows: Iterable[bytes], **parts: str) -> Callable[[Path], object]:
    def content() -> Iterator[bytes]:
        yield f'<worksheet xmlns="{MAIN}"><sheetData>'.encode()
        yield from rows
        yield b"</sheetData></worksheet>"

    return lambda target: write_package(target, content(), **parts)  # type: ignore[arg-type]  # names of parts


def one_string_often(target: Path) -> None:
    """Write one text of 300 characters in 500,000 cells."""

    def rows() -> Iterator[bytes]:
        for row in range(1, 50_001):
            cells = "".join(f'<c r="{letter}{row}" t="s"><v>0</v></c>' for letter in "ABCDEFGHIJ")
            yield f'<row r="{row}">{cells}</row>'.encode()

    _raw_rows(rows(), strings=f"<si><t>{'olive oil 500 g and some more words ' * 9}</t></si>")(target)


def shared_formula(target: Path) -> None:
    """Write one formula for 500,000 cells."""

    def rows() -> Iterator[bytes]:
        for row in range(1, 50_001):
            cells = "".join(
                f'<c r="{letter}{row}"><f t="shared" si="0"'
                + (f' ref="B1:K50000">SUM(A1:A9)+{"A1+" * 40}1</f>' if (row, letter) == (1, "B") else "/>")
                + "<v>3</v></c>"
                for letter in "BCDEFGHIJK"
            )
            yield f'<row r="{row}">{cells}</row>'.encode()

    _raw_rows(rows())(target)


def relationships(target: Path) -> None:
    """Write a sheet with 200,000 relationships."""
    link = f'<Relationship Id="h{{}}" Type="{LINKS}/hyperlink" Target="a:{{}}" TargetMode="External"/>'
    write_package(target, _sound_part(), sheet_links="".join(link.format(number, number) for number in range(200_000)))


def long_string(target: Path) -> None:
    """Write one text of 190 MB."""
    row = b'<row r="1"><c r="A1" t="inlineStr"><is><t>'
    texts = (random.Random(n).randbytes(500_000).hex().encode() for n in range(190))  # noqa: S311 - filling
    _raw_rows((row, *texts, b"</t></is></c></row>"))(target)


def long_string_below_recipes(target: Path) -> None:
    """Write sound recipes and a text of 190 MB below them."""
    before, end, after = _sound_part().partition("</sheetData>")
    cell = b'<row r="20"><c r="A20" t="inlineStr"><is><t>'
    texts = (random.Random(n).randbytes(500_000).hex().encode() for n in range(190))  # noqa: S311 - filling
    rest = f"</t></is></c></row>{end}{after}".encode()
    write_package(target, itertools.chain((before.encode(), cell), texts, (rest,)))


def long_format(target: Path) -> None:
    """Write a number format of 1 MB."""
    code = "0" + "[" * 1_000_000
    styles = (
        f'<numFmts count="1"><numFmt numFmtId="164" formatCode="{code}"/></numFmts>'
        "<fonts><font/></fonts><fills><fill/></fills><borders><border/></borders>"
        '<cellXfs><xf numFmtId="0"/><xf numFmtId="164"/></cellXfs>'
    )
    write_package(target, _sound_part(style=1), styles=styles)


def long_attribute(target: Path) -> None:
    """Write an attribute of 60 MB on a cell."""
    texts = (random.Random(n).randbytes(500_000).hex().encode() for n in range(60))  # noqa: S311 - filling
    _raw_rows((b'<row r="1"><c r="A1" x="', *texts, b'"><v>1</v></c></row>'))(target)


def no_numbers(target: Path) -> None:
    """Write 1e400, NaN, infinity as numbers of a recipe."""
    part = _sound_part().replace("<v>500</v>", "<v>1e400</v>", 1)
    part = part.replace("<v>250</v>", "<v>NaN</v>", 1).replace("<v>104</v>", "<v>INF</v>", 1)
    write_package(target, part)


def _sound_part(style: int = 0) -> str:
    rows: list[list[object]] = [["Recipe", "Olive (g)", "Coconut (g)", "Lye (g)", "Water (g)"]]
    rows += [[f"Soap {n}", 500, 250 + 10 * n, 104 + 2 * n, 240] for n in range(8)]
    out = io.StringIO()
    for row in rows:
        out.write("<row>")
        for cell in row:
            if isinstance(cell, str):
                out.write(f'<c t="inlineStr"><is><t>{cell}</t></is></c>')
            else:
                out.write(f'<c s="{style}"><v>{cell}</v></c>')
        out.write("</row>")
    return f'<worksheet xmlns="{MAIN}"><sheetData>{out.getvalue()}</sheetData></worksheet>'


FILES: dict[str, Callable[[Path], object]] = {
    "20,000 recipes, all faulty": faulty(20_000),
    "one recipe of 3,000 fats": fats(3_000),
    "16,384 columns headed as lyes": columns("Lye (g)", 16_384),
    "16,384 columns": columns("Olive (g)", 16_384),
    "1,048,576 rows of numbers": all_rows(12.5),
    "1,048,576 rows of words": all_rows("olive oil"),
    "one recipe of 100,000 lines": long_list(100_000),
    "one string in 500,000 cells": one_string_often,
    "a shared formula 500,000 times": shared_formula,
    "200,000 relationships": relationships,
    "1,999 sheets": many_sheets(1_999),
    "11.9 million cells": many_cells(11_900_000),
    "a string of 190 MB": long_string,
    "recipes above a string of 190 MB": long_string_below_recipes,
    "a number format of 1 MB": long_format,
    "an attribute of 60 MB": long_attribute,
    "amounts of 1e300": amounts(1e300, 1e300, 1e300),
    "1e400, NaN, infinity": no_numbers,
    "a negative amount of a fat": amounts(-500, 200, 110),
    "a sheet named as a command": sheet_names("cmd|' C calc'!A0"),
}

GROWTH: dict[str, tuple[Callable[[int], Callable[[Path], object]], tuple[int, ...]]] = {
    "recipes, all faulty": (faulty, (1_000, 2_000, 4_000, 8_000)),
    "fats of one recipe": (fats, (100, 200, 400, 800)),
    "columns": (lambda count: columns("Olive (g)", count), (1_000, 2_000, 4_000, 8_000)),
    "sheets": (many_sheets, (100, 200, 400, 800)),
}


# --------------------------------------------------------------------------- measured


def audited(book: Path, copy: Path, most: int) -> Ended:
    """Audit a book by the command, in a process of its own that is ended after `most` processor seconds."""

    def bounds() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (most, most + 1))
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))

    with tempfile.TemporaryFile("w+") as told:
        command = [sys.executable, "-m", "sheetcheck", "audit", "--out", str(copy), "--", str(book)]
        process = subprocess.Popen(command, stdout=told, stderr=told, preexec_fn=bounds)  # noqa: PLW1509 - no threads
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        told.seek(0)
        said = told.read()
    lines = said.strip().splitlines() or [""]
    python = any(word in said for word in PYTHON)
    seconds = used.ru_utime + used.ru_stime
    return Ended(seconds, used.ru_maxrss / 1024, process.returncode, _last(lines), python)


def _last(lines: list[str]) -> str:
    first = next((line for line in lines if line.startswith("Of ")), "")
    return (first or lines[-1])[:160]


def _line(name: str, ended: Ended) -> str:
    python = " (Python!)" if ended.python else ""
    return f"| {name} | {ended.seconds:.1f} | {ended.megabytes:,.0f} | {ended.status}{python} | {ended.last} |"


def growth(most: int, folder: Path) -> None:
    """Print how the time grows as a count doubles."""
    print("\n| what doubles | counts | seconds |\n|---|---|---|")
    for name, (make, counts) in GROWTH.items():
        times = []
        for count in counts:
            book = folder / "growth.xlsx"
            make(count)(book)
            times.append(audited(book, folder / "growth.checked.xlsx", most).seconds)
            book.unlink()
        print(f"| {name} | {', '.join(map(str, counts))} | {', '.join(f'{time:.2f}' for time in times)} |", flush=True)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*", help="words of the names of the files that are wanted; all without")
    parser.add_argument("--keep", type=Path, help="a folder in which the files stay")
    parser.add_argument("--most", type=int, default=120, help="processor seconds after which a process is ended")
    parser.add_argument("--growth", action="store_true", help="how the time grows as a count doubles")
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary:
        folder = wanted.keep or Path(temporary)
        folder.mkdir(parents=True, exist_ok=True)
        if wanted.growth:
            growth(wanted.most, folder)
            return
        print("| file | seconds | MB | status | last sentence |\n|---|--:|--:|--:|---|")
        for number, (name, write) in enumerate(FILES.items()):
            if wanted.names and not any(word in name for word in wanted.names):
                continue
            book = folder / f"{number:02}.xlsx"
            if not book.exists():
                write(book)
            print(_line(name, audited(book, folder / f"{number:02}.checked.xlsx", wanted.most)), flush=True)
            if wanted.keep is None:
                book.unlink()


if __name__ == "__main__":
    main()
