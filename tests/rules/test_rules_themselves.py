import ast
import pkgutil
from pathlib import Path

import pytest
from builders import evidence, recipe

from sheetcheck import rules
from sheetcheck.model import RECIPE_COMPUTED_COLUMNS, RECIPE_READ_COLUMNS, Signal
from sheetcheck.reference import limits, sources
from sheetcheck.rules.manual import HEADINGS, parse
from sheetcheck.settings import Settings

FOLDER = Path(rules.__file__).parent
FILES = sorted(FOLDER.rglob("*.py"))
SUPERFAT_RULES = {
    "free-lye",
    "no-margin",
    "hardly-any-margin",
    "superfat-high",
    "superfat-not-as-stated",
    "unusual-for-this-book",
}


def _rule_modules() -> set[str]:
    return {m.name for m in pkgutil.iter_modules([str(FOLDER)]) if not m.ispkg} - {"manual", "not_checked"}


def test_names_are_unique_and_those_of_the_files() -> None:
    names = [rule.name for rule in rules.all_rules()]

    assert len(names) == len(set(names))
    assert {name.replace("-", "_") for name in names} == _rule_modules()


@pytest.mark.parametrize("rule", rules.all_rules(), ids=lambda rule: rule.name)
def test_manual_is_complete(rule: rules.Rule) -> None:
    assert rule.manual.problem.endswith(".")
    assert ". " not in rule.manual.problem  # one sentence
    assert tuple(heading for heading, _ in rule.manual.sections()) == HEADINGS
    assert all(len(text) > 15 for _, text in rule.manual.sections())


@pytest.mark.parametrize("rule", rules.all_rules(), ids=lambda rule: rule.name)
def test_needs_are_columns_of_the_recipes(rule: rules.Rule) -> None:
    assert set(rule.needs) <= {*RECIPE_READ_COLUMNS, *RECIPE_COMPUTED_COLUMNS}


@pytest.mark.parametrize(
    ("docstring", "wrong"),
    [
        ("A problem.", "headings"),
        ("A problem.\n\nWhy it matters\n---\nSo.\n\nSource\n---\nA book.", "headings"),
        ("\n\n".join(["", *(f"{heading}\n---\nText." for heading in HEADINGS)]), "empty"),
    ],
)
def test_a_faulty_manual_is_refused(docstring: str, wrong: str) -> None:
    with pytest.raises(ValueError, match=wrong):
        parse(docstring, "sheetcheck.rules.example")


def _limits_named(path: Path) -> set[str]:
    calls = [n for n in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if isinstance(n, ast.Call)]
    named = [c for c in calls if isinstance(c.func, ast.Attribute) and c.func.attr == "limit"]
    return {c.args[0].value for c in named if isinstance(c.args[0], ast.Constant)}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_limit_is_in_the_cited_table(path: Path) -> None:
    for name in _limits_named(path):
        assert limits()[name].source in sources()
        assert limits()[name].meaning


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_rules_never_import_each_other(path: Path) -> None:
    if path.name == "__init__.py":
        return
    tree = ast.parse(path.read_text(encoding="utf-8"))
    imported = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert not {f"sheetcheck.rules.{name}" for name in _rule_modules()} & imported


@pytest.mark.parametrize(("stated", "no_margin"), [(float("nan"), False), (5.0, False), (0.5, True), (18.0, False)])
def test_one_rule_speaks_of_each_superfat(stated: float, no_margin: bool) -> None:  # noqa: FBT001 - a case has both
    amounts = [4 + n / 10 for n in range(100)]
    book = [
        recipe(f"Lye {oz}", fats={"lard": "80 oz"}, lye=f"{oz:.2f} oz", stated=stated, no_margin=no_margin)
        for oz in amounts
    ]
    seen = evidence(book)

    findings = [f for f in rules.run(seen).findings if f.rule in SUPERFAT_RULES]

    about = [f.recipe for f in findings]
    assert len(about) == len(set(about))
    free = seen.recipes.index[seen.recipes["superfat_typical"] < (-1 if no_margin else 0)]
    assert {f.recipe for f in findings if f.signal is Signal.DANGER} == set(free)


@pytest.mark.parametrize(
    "settings",
    [
        Settings(limits={"superfat_danger_below": -100.0, "no_margin_floor": -100.0}),
        Settings(limits={"superfat_warning_below": -100.0, "superfat_off_statement": 100.0}),
        Settings(target_superfat=0.0),
    ],
)
def test_no_setting_hides_free_lye(settings: Settings) -> None:
    book = [recipe("Burns", fats={"lard": "64 oz"}, lye="13 oz", liquid={"water": "26 oz"}, stated=0, no_margin=True)]

    findings = rules.run(evidence(book, settings)).findings

    assert [f.rule for f in findings if f.signal is Signal.DANGER] == ["free-lye"]


def test_the_makers_sound_recipe_is_left_alone() -> None:
    # Common practice, no source.
    lyes = ("10.86 oz", "10.85 oz")
    book = [recipe(f"Kitchen {lye}", fats={"lard": "80 oz"}, lye=lye, liquid={"water": "24.29 oz"}) for lye in lyes]

    findings = rules.run(evidence(book)).findings

    assert [f for f in findings if f.signal.rank >= Signal.CAUTION.rank] == []
