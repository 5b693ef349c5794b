"""Every rule's cases: `cases/<rule>.toml` says of small books whether the rule fires, stays quiet, or cannot say.

A case has one or more recipes (`builders.recipe`; `repeat` sets one out several times); `about` is the number of the
recipe that is meant, by default the last. Drop a case in, and it runs.
"""

import tomllib
from pathlib import Path
from typing import Any

import pytest
from builders import evidence, recipe

from sheetcheck.model import Finding, OwnValue
from sheetcheck.rules import Rule, all_rules, run
from sheetcheck.settings import Settings

CASES = Path(__file__).parent / "cases"
EXPECTED = ("fires", "quiet", "cannot say")


def _load() -> list[Any]:
    found = []
    for path in sorted(CASES.glob("*.toml")):
        for case in tomllib.loads(path.read_text(encoding="utf-8"))["case"]:
            name = path.stem.replace("_", "-")
            found.append(pytest.param(name, case, id=f"{name}: {case['name']}"))
    return found


def _recipes(case: dict[str, Any]) -> list[Any]:
    made = []
    for given in case["recipe"]:
        times = given.pop("repeat", 1)
        made += [recipe(**given | {"name": f"{given.get('name', 'Usual')} {n}"}) for n in range(1, times)]
        made.append(recipe(**given))
    return made


@pytest.mark.parametrize(("rule", "case"), _load())
def test_case(rule: str, case: dict[str, Any]) -> None:
    case = dict(case, recipe=[dict(r) for r in case["recipe"]])
    recipes = _recipes(case)
    own_values = [OwnValue(sheet="Values", written=f"{v['mg_koh_per_g']:g}", **v) for v in case.get("own_values", [])]
    about = case.get("about", len(recipes))

    result = run(evidence(recipes, Settings(**case.get("settings", {})), own_values))

    found = [f for f in result.findings if f.rule == rule and (about in f.recipes or own_values)]
    assert (about in result.cannot_say[rule]) == (case["expect"] == "cannot say")
    if case["expect"] == "fires":
        _check_finding(found, case)
    else:
        assert found == []


def _check_finding(found: list[Finding], case: dict[str, Any]) -> None:
    assert len(found) == 1
    finding = found[0]
    assert finding.signal == case["signal"]
    assert finding.cell == case["cell"]
    for words in case["says"]:
        assert words in f"{finding.message} Expected: {finding.expected}. Look at {finding.look_at}."
    assert list(finding.recipes) == case.get("recipes", list(finding.recipes))


@pytest.mark.parametrize("rule", [rule for rule in all_rules() if rule.check], ids=lambda rule: rule.name)
def test_rule_has_cases_of_every_kind(rule: Rule) -> None:
    kinds = {p.values[1]["expect"] for p in _load() if p.values[0] == rule.name}

    assert kinds <= set(EXPECTED)
    assert {"fires", "quiet"} <= kinds
    assert ("cannot say" in kinds) == bool(rule.needs)


def test_no_cases_without_a_rule() -> None:
    assert {p.values[0] for p in _load()} <= {rule.name for rule in all_rules()}
