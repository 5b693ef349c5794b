"""The table of what is recognised, and the phrases for superfat."""

import pandas as pd
import pytest
from soaps import line, soap
from typer.testing import CliRunner

from sheetcheck.chemistry.recognised import what_is_recognised
from sheetcheck.chemistry.strength import strength_said, why_no_strength, with_strengths
from sheetcheck.chemistry.superfat import PHRASES
from sheetcheck.cli import app
from sheetcheck.errors import SettingError
from sheetcheck.reference import substances


def test_everything_known_is_listed_once_with_what_is_done_and_from_where() -> None:
    listed = what_is_recognised()
    assert [r.key for r in listed] == list(substances())
    assert all(r.done and r.source and r.name for r in listed)


def test_one_role_at_a_time() -> None:
    assert sum(len(what_is_recognised(role)) for role in ("fat", "alkali", "liquid", "acid", "additive")) == len(
        what_is_recognised()
    )


@pytest.mark.parametrize(
    ("key", "says"),
    [
        ("lard", "192.0 to 203.0"),
        ("goat milk", "water"),
        ("beer", "alcohol"),
        ("citric acid, anhydrous", "0.625 g NaOH"),
        ("sodium lactate", "no lye"),
        ("potassium hydroxide", "never taken as pure in silence"),
        ("can of lye", "not checked"),
        ("sodium hydroxide solution", "where its strength is stated"),
        ("borax", "as much as 0.21 g"),
        ("beeswax", "takes up none"),
    ],
)
def test_what_is_done_is_said(key: str, says: str) -> None:
    (found,) = (r for r in what_is_recognised() if r.key == key)
    assert says in found.done


def test_phrases_for_superfat_are_what_they_say() -> None:
    found = {p.phrase: None if p.superfat is None else round(float(p.superfat(_number(p.phrase))), 1) for p in PHRASES}
    assert found == {
        "superfat 5 %": 5.0,
        "lye discount 5 %": 5.0,
        "5 % surplus of fat": 4.8,
        "5 % fat at trace, on top": 4.8,
        "superfat oil, named apart": None,
        "2 % excess of lye": -2.0,
    }


def _number(phrase: str) -> float:
    return float(next(word for word in phrase.split() if word.isdigit()))


@pytest.mark.parametrize(
    ("name", "percent"),
    [
        ("Soda lye 36 °Bé", 30.2),
        ("soda lye 36° Baumé", 30.2),
        ("caustic soda lye (36 deg Be)", 30.2),
        ("lye 66 °Tw", 30.2),
        ("lye, 66 Twaddell", 30.2),
        ("lye sp. gr. 1.330", 30.2),
        ("Natronlauge Dichte 1,330", 30.2),
        ("lye specific gravity 1.33 at 25 °C", 30.43),
        ("lye specific gravity 1.33 at 77 °F", 30.43),
        ("lye, 71.4 degTw (38 degBe)", 32.6),
    ],
)
def test_strength_in_a_name(name: str, percent: float) -> None:
    assert 100 * strength_said(name) == pytest.approx(percent, abs=0.1)


@pytest.mark.parametrize(
    "name", ["soda lye", "lye 36 °Bé or 40 °Bé", "lye 80 °Bé", "beer", "lye sp. gr. 1.33 at 60 °C"]
)
def test_no_strength_in_a_name(name: str) -> None:
    assert strength_said(name) != strength_said(name)
    assert why_no_strength(name)


def test_only_lines_that_tell_a_strength_are_changed() -> None:
    lines = pd.DataFrame([
        line(1, "lard", 1000),
        line(1, "sodium hydroxide solution", 400, name="Soda lye 36 °Bé", role="unknown"),
        line(1, "sodium hydroxide solution", 400, name="Soda lye", role="unknown"),
        line(1, "potassium hydroxide solution", 400, name="Potash lye 30 °Bé", role="unknown"),
    ])  # fmt: skip
    made = with_strengths(lines)
    assert made["substance"].tolist() == [
        "lard", "sodium hydroxide", "sodium hydroxide solution", "potassium hydroxide"
    ]  # fmt: skip
    assert made["role"].tolist() == ["fat", "alkali", "unknown", "alkali"]
    assert made["strength"].round(2).tolist()[1::2] == [0.30, 0.27]
    assert lines["role"].tolist()[1] == "unknown"
    assert with_strengths(lines.iloc[[0]]) is not None


@pytest.mark.parametrize("key", [key for key, s in substances().items() if s.kind != "refused"])
def test_whatever_is_computed_with_has_all_its_figures(key: str) -> None:
    made = soap(line(0, "lard", 1000), line(0, "sodium hydroxide", 130), line(0, "water", 300), line(0, key, 2))
    if key != "potassium hydroxide":
        assert made[["superfat_typical", "water_g", "lye_concentration"]].notna().all()


def shown(*words: str) -> str:
    result = CliRunner().invoke(app, ["ingredients", *words], env={"COLUMNS": "2000"})
    assert result.exit_code == 0, result.output
    return result.output


def test_the_command_lists_everything_and_why_what_is_refused() -> None:
    everything = shown()
    assert [r.name for r in what_is_recognised() if r.name not in everything] == []
    for refused in (r for r in what_is_recognised() if not r.computed):
        assert refused.note in everything
    assert "superfat oil, named apart" in everything


def test_the_command_lists_one_kind_or_one_thing() -> None:
    assert "goat milk" not in shown("--kind", "acid")
    assert "88.13" in shown("whole milk")
    with pytest.raises(SettingError, match="should be one of"):
        CliRunner().invoke(app, ["ingredients", "--kind", "soap"], catch_exceptions=False)
