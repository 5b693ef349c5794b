"""A bar for rescaling: books of any shape rescaled, and what came out judged from the outside.

    python -m tests.rescaling.bar FOLDER …                   # every book in the folders; else the project's examples
    python -m tests.rescaling.bar --unlike 44 --seed 7       # made-up books of every layout, unit and language

It reads the rescaled book back as any book, and reckons with figures of its own: saponification values and densities
from handbooks, typed here from memory, the middle of what they print. What differs between these and the tables of the
project is the same before and after, so the bar looks at the difference.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pandas as pd

from sheetcheck.errors import SheetcheckError
from sheetcheck.model import Audit
from sheetcheck.pipeline import audit, rescale
from sheetcheck.rescaling.follows import pours_of
from sheetcheck.rescaling.rows import Job, job_rows
from sheetcheck.rescaling.scaling import Rescaled
from tests.benchmarks.unlike_books.book import make

OUNCE = 28.349523125  # g, by definition
NAOH_PER_KOH = 39.997 / 56.106  # molar masses, IUPAC
SAP = {  # g NaOH for 1 g, handbooks, from memory
    "olive oil": 0.1345, "coconut oil": 0.183, "lard": 0.1397, "tallow": 0.1405, "palm oil": 0.142,
    "castor oil": 0.1286, "sunflower oil": 0.1345, "shea butter": 0.128, "cocoa butter": 0.137,
    "palm kernel oil": 0.1765, "rapeseed oil": 0.1345, "sweet almond oil": 0.136, "babassu oil": 0.175,
    "avocado oil": 0.134, "beeswax": 0.067,
}  # fmt: skip
ACIDS = {  # g NaOH for 1 g: acid groups and molar masses, IUPAC; vinegar of 5 %, lactic acid of 80 %
    "citric acid, anhydrous": 3 * 39.997 / 192.12, "citric acid, monohydrate": 3 * 39.997 / 210.14,
    "tartaric acid": 2 * 39.997 / 150.09, "malic acid": 2 * 39.997 / 134.09, "ascorbic acid": 39.997 / 176.12,
    "lactic acid": 0.8 * 39.997 / 90.08, "vinegar": 0.05 * 39.997 / 60.05,
}  # fmt: skip
OTHER_SAP, OTHER_DENSITY = 0.137, 0.915
FAT_DENSITY = {  # g/mL, melted, as they are in a batter; CXS 210 and 211 (at 40 or 50 °C), middles, from memory
    "olive oil": 0.90,  # CXS 33: 0.910 to 0.916 at 20 °C, and 0.00067 less for each degree up to 40 °C, from memory
    "coconut oil": 0.915, "palm kernel oil": 0.907, "palm oil": 0.895, "lard": 0.90, "tallow": 0.90,
    "castor oil": 0.959,
}  # fmt: skip
DENSITY_ERROR = 0.8  # percent: fats are 0.905 to 0.925 by kind and warmth, and the bar takes one figure for nearly all
WATERY = {"water", "goat milk", "cow milk", "coconut milk", "tea", "coffee"}  # liquids about as dense as water
LYE_DENSITY = {  # g/mL at 20 °C by percent, Perry's and the CRC Handbook, from memory
    "NaOH": ([0, 5, 10, 20, 25, 30, 35, 40, 50], [0.998, 1.054, 1.109, 1.219, 1.274, 1.328, 1.380, 1.430, 1.525]),
    "KOH": ([0, 5, 10, 20, 25, 30, 35, 40, 50], [0.998, 1.044, 1.090, 1.188, 1.239, 1.290, 1.344, 1.399, 1.514]),
}
KEPT_LAYOUTS = {"one recipe per row", "ingredients down, recipes across", "one ingredient per row"}
SIZES = ("x2", "x0.5", "fats=1500 g", "mould=2 box 24 x 8 x 7 cm + cylinder 3 x 10 in", "mould=2 holds 40 oz of fats")
SCALES = ("0.01 oz to 16 oz, 0.1 oz; 0.1 g to 500 g, 1 g", "0.1 oz; 1 g", "0.5 oz; 5 g")


@dataclass
class Verdict:
    """What was looked at, and what was wrong."""

    jobs: int = 0
    left_out: int = 0
    coarse: int = 0
    wrong: list[str] = field(default_factory=list)

    def expect(self, what: str, where: str, *, holds: bool) -> None:
        """Keep what does not hold."""
        if not holds:
            self.wrong.append(f"{what}: {where}")


def superfat(lines: pd.DataFrame, extra_lye: float = 0.0) -> float:
    """Superfat of one recipe by the bar's own figures; `extra_lye` grams of NaOH are added."""
    needed = sum(SAP.get(str(s), OTHER_SAP) * g for s, g in _grams(lines, lines["role"] == "fat"))
    acids = sum(ACIDS.get(str(s), 0) * g for s, g in _grams(lines, lines["role"] != "fat"))
    return 100 * (1 - (_naoh(lines) + extra_lye) / (needed + acids))


def _grams(lines: pd.DataFrame, which: pd.Series) -> Iterator[tuple[object, float]]:
    own = lines[which & (lines["grams"] > 0)]
    return zip(own["substance"], own["grams"], strict=True)


def _strength(line: pd.Series) -> float:
    return float(line["strength"]) if line["strength"] == line["strength"] else 1.0


def _pure(lines: pd.DataFrame) -> tuple[float, float, float]:
    """NaOH, KOH, and what else is in the lye [g]."""
    own = lines[(lines["role"] == "alkali") & (lines["grams"] > 0)]
    amounts = [(str(line["substance"]), line["grams"], _strength(line)) for _, line in own.iterrows()]
    naoh = sum(g * s for name, g, s in amounts if name == "sodium hydroxide")
    koh = sum(g * s for name, g, s in amounts if name == "potassium hydroxide")
    return naoh, koh, sum(g * (1 - s) for _, g, s in amounts)


def _naoh(lines: pd.DataFrame) -> float:
    naoh, koh, _ = _pure(lines)
    return naoh + koh * NAOH_PER_KOH


def volume(lines: pd.DataFrame) -> float:
    """Volume of the batter [mL]: fats, lye as a solution, all else as water."""
    naoh, koh, rest = _pure(lines)
    fats = sum(g / FAT_DENSITY.get(str(s), OTHER_DENSITY) for s, g in _grams(lines, lines["role"] == "fat"))
    liquid = sum(g for _, g in _grams(lines, lines["role"] == "liquid")) + rest
    others = sum(g for _, g in _grams(lines, ~lines["role"].isin(["fat", "liquid", "alkali"])))
    lye, percent = naoh + koh + liquid, 100 * (naoh + koh) / (naoh + koh + liquid)
    share = naoh / (naoh + koh)
    dense = {kind: np.interp(percent, *known) for kind, known in LYE_DENSITY.items()}
    return float(fats + lye * (share / dense["NaOH"] + (1 - share) / dense["KOH"]) + others)


def judge(book: Path, sizes: Sequence[str], bench: dict[str, str], folder: Path) -> Verdict:
    """Rescale a book, read back what came out, and judge it."""
    verdict = Verdict()
    done, result = rescale(book, sizes, folder / "out.xlsx", bench=bench, overwrite=True)
    before = done.audit
    verdict.jobs, verdict.left_out = len(done.jobs), len(done.left_out)
    _all_told(before, done, verdict)
    if done.jobs.empty:
        return verdict
    after = audit(result)
    names = after.recipes["name"].tolist()
    verdict.expect("names twice", book.name, holds=len(set(names)) == len(names))
    by_name = dict(zip(names, after.recipes.index, strict=True))
    for job in job_rows(done.jobs):
        if job.name in by_name:
            _one(job, done, before, after, by_name[job.name], verdict)
        else:
            verdict.expect("not read back", job.name, holds=False)
    verdict.expect("read back more", book.name, holds=len(names) == len(done.jobs))
    return verdict


def _all_told(before: Audit, done: Rescaled, verdict: Verdict) -> None:
    """Every recipe in every size is made, or left out with a reason."""
    made = {(job.source, job.target) for job in job_rows(done.jobs)}
    for recipe in before.recipes.index:
        for number, target in enumerate(done.targets):
            whys = [x.why for x in done.left_out if x.recipe == recipe and x.target in ("", target.label)]
            told = (recipe, number) in made or any(whys)
            verdict.expect("neither made nor refused", f"{recipe} {target.label}", holds=told)


def _one(job: Job, done: Rescaled, before: Audit, after: Audit, read: int, verdict: Verdict) -> None:
    source = before.book.components[before.book.components["recipe"] == job.source]
    lines = after.book.components[after.book.components["recipe"] == read]
    weighed = done.lines[done.lines["recipe"] == job.Index]
    where = f"{before.book.name} {job.name}"
    own, now = superfat(source), superfat(lines)
    lye = weighed[(weighed["role"] == "alkali") & (weighed["grams"] > 0)]
    steps = [
        step * _grams_per(job.weigh_unit) * _strength(line) * _as_naoh(line)
        for step, (_, line) in zip(lye["step"], lye.iterrows(), strict=True)
    ]
    verdict.coarse += now - own > 1
    verdict.expect(f"superfat {own:.2f} became {now:.2f}", where, holds=now >= own - 0.02)
    with_step = superfat(lines, min(steps))
    verdict.expect(f"{own:.2f} became {now:.2f}, {with_step:.2f} with a step", where, holds=with_step <= own + 0.1)
    again = float(after.recipes.loc[read, "superfat_typical"])
    verdict.expect("another superfat when audited", where, holds=abs(again - job.superfat_typical) < 0.1)
    shape = job.layout if job.layout in KEPT_LAYOUTS else "cards"  # sheets of their own stand below each other
    verdict.expect("another layout", where, holds=after.recipes.loc[read, "layout"] == shape)
    of_source = [f for f in before.findings if f.recipe == job.source or job.source in f.recipes]
    signals = {f.signal.rank for f in of_source}
    worst = max((f.signal.rank for f in after.findings if f.recipe == read), default=0)
    stated = before.recipes.loc[job.source, "stated_superfat"]
    told = now - own > 1 or abs(stated - job.superfat_before) > 1
    told = told or any(f.rule.startswith("lye-") for f in of_source)  # whose slip a larger book shows better
    verdict.expect("a worse finding", where, holds=told or worst <= max([1, *signals]))
    same_sheet = before.book.components[before.book.components["sheet"] == job.sheet]
    in_pounds = bool(same_sheet["unit"].isin(["lb", "lb oz"]).any())
    _unit(source, lines, where, verdict, asked=done.bench.weigh_in, in_pounds=in_pounds)
    _moulds(job, done, lines, where, verdict)


def _unit(
    source: pd.DataFrame, lines: pd.DataFrame, where: str, verdict: Verdict, *, asked: str, in_pounds: bool
) -> None:
    """Her own unit: grams stay grams, ounces ounces, pounds with ounces stay so."""
    units = [Counter(part.loc[part["bears"], "unit"].dropna()) for part in (source, lines)]
    pounds = [any(unit in own for unit in ("lb", "lb oz")) for own in units]
    metric = [sum(own[u] for u in ("g", "kg")) > sum(own[u] for u in ("oz", "lb", "lb oz")) for own in units]
    if asked == "as written":
        verdict.expect(f"unit {dict(units[0])} became {dict(units[1])}", where, holds=metric[0] == metric[1])
        heavy = (lines["grams"] >= 16 * OUNCE).any()
        verdict.expect("pounds lost", where, holds=metric[0] or not pounds[0] or pounds[1] or not heavy)
        verdict.expect("pounds made", where, holds=metric[0] or in_pounds or not pounds[1])


def _moulds(job: Job, done: Rescaled, lines: pd.DataFrame, where: str, verdict: Verdict) -> None:
    poured = pours_of(job, done)
    if not poured:
        return
    leaves = 1 - done.bench.left_in_pot / 100
    total = sum(p.grams * p.mould.count for p in poured)
    in_pot = float(lines["grams"].sum()) * job.batches * leaves
    verdict.expect("moulds do not add up", where, holds=abs(total / in_pot - 1) < 0.01)
    per_g = volume(lines) / float(lines["grams"].sum())
    for pour in poured:
        if pour.mould.ml == pour.mould.ml and _is_known(lines):
            full = 100 * pour.grams * per_g / pour.mould.ml
            verdict.expect(
                f"{pour.mould.what} filled to {full:.1f} %", where, holds=abs(full - 100) < 1 + DENSITY_ERROR
            )
        elif pour.mould.ml != pour.mould.ml:
            fats = float(lines.loc[lines["role"] == "fat", "grams"].sum()) * job.batches
            all_fats = sum(p.mould.fats_g * p.mould.count for p in poured)
            if not np.isnan(all_fats):
                weighed = done.lines[(done.lines["recipe"] == job.Index) & (done.lines["role"] == "fat")]
                steps = float(weighed["step"].sum()) * _grams_per(job.weigh_unit) * job.batches / 2
                verdict.expect("fats of moulds", where, holds=abs(fats / all_fats - 1) < 0.0101 + steps / all_fats)


def _is_known(lines: pd.DataFrame) -> bool:
    """Whether the bar has figures for what the batter is made of."""
    role, substance, grams = lines["role"], lines["substance"].astype(object), lines["grams"].fillna(0)
    odd = ~substance.isin([*SAP, *WATERY]) & (role != "alkali")
    return float(grams[odd].sum()) < 0.03 * float(grams.sum())


def _as_naoh(line: pd.Series) -> float:
    return NAOH_PER_KOH if line["substance"] == "potassium hydroxide" else 1.0


def _grams_per(unit: str) -> float:
    return 1.0 if unit == "g" else OUNCE


def books(folders: Sequence[Path]) -> list[Path]:
    """Every workbook in the folders."""
    kinds = {".xlsx", ".xls", ".ods", ".csv"}
    return sorted(p for f in folders for p in f.rglob("*") if p.suffix in kinds and ".rescaled" not in p.name)


def unlike_books(count: int, seed: int, folder: Path) -> Iterator[Path]:
    """Write made-up books of many authors, each in a layout, a unit and a language of its own."""
    for author in range(seed * 10_000, seed * 10_000 + count):
        made = make(author)
        layout = "".join(c if c.isalnum() else "-" for c in made.traits["layout"])
        yield made.write(folder / f"{author}-{layout}.xlsx")


def main(arguments: argparse.Namespace) -> int:
    """Judge every book on every scale, and print what is wrong and the sums."""
    wrong: Counter[str] = Counter()
    sums = np.zeros(3, dtype=int)
    with tempfile.TemporaryDirectory() as made:
        if arguments.unlike:
            found = unlike_books(arguments.unlike, arguments.seed, Path(made))
        else:
            found = iter(books(arguments.folders or [Path(__file__).parents[2] / "examples"]))
        for path in found:
            for scale in SCALES:
                try:
                    verdict = judge(path, SIZES, {"scale": scale}, Path(made))
                except SheetcheckError as error:
                    print(f"{path.name}: {error}")  # noqa: T201 - what the bar says
                    break
                sums += (verdict.jobs, verdict.left_out, verdict.coarse)
                for text in verdict.wrong:
                    wrong[text.partition(":")[0].split("  ")[0]] += 1
                    print(f"{path.name} [{scale}] {text}")  # noqa: T201 - what the bar says
    told = f"{sums[0]} batches, {sums[1]} left out, {sums[2]} told as too coarse, {sum(wrong.values())} wrong"
    print(told)  # noqa: T201 - what the bar says
    return int(bool(wrong))


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", nargs="*", type=Path)
    parser.add_argument("--unlike", type=int, default=0, help="so many made-up books instead")
    parser.add_argument("--seed", type=int, default=7)
    sys.exit(main(parser.parse_args()))
