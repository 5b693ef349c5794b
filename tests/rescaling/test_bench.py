"""The scale on the bench: its steps by range of weight, rounding to them, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sheetcheck.errors import SettingError
from sheetcheck.rescaling.bench import USUAL_SCALES, Scale, Step, read_bench

FINE_AND_KITCHEN = read_bench({"scale": "0.1 g to 500 g, 1 g to 5 kg"}).scale_for("g")


def test_steps_go_by_range_of_weight() -> None:
    assert FINE_AND_KITCHEN.steps == (Step(0.1, 500), Step(1, 5000))
    assert FINE_AND_KITCHEN.capacity == 5000
    assert FINE_AND_KITCHEN.nearest(np.array([499.96, 500.4, 12.34])).tolist() == [500.0, 500.0, 12.3]
    assert FINE_AND_KITCHEN.down(np.array([499.99, 500.9, 12.39])).tolist() == [499.9, 500.0, 12.3]


def test_scales_in_grams_and_in_ounces_stand_beside_each_other() -> None:
    bench = read_bench({"scale": "0.5 g; 0.01 oz to 2 lb"})
    assert bench.scale_for("g") == Scale("g", (Step(0.5, math.inf),))
    assert bench.scale_for("lb oz") == bench.scale_for("oz") == Scale("oz", (Step(0.01, 32),))


@pytest.mark.parametrize("scale", USUAL_SCALES.values())
@given(weight=st.floats(0.001, 20_000))
def test_down_is_never_above_and_never_a_step_below(scale: Scale, weight: float) -> None:
    shown, step = float(scale.down(np.array(weight))), float(scale.step_for(np.array(weight)))
    assert weight - step - 1e-6 < shown <= weight + 1e-8
    assert math.isclose(shown / step, round(shown / step), abs_tol=1e-6)


@given(count=st.integers(1, 160_000))
def test_what_stands_on_a_step_stays_there(count: int) -> None:
    weight = count * 0.01  # a product that binary fractions may leave a little below the step
    scale = Scale("oz", (Step(0.01, math.inf),))
    assert float(scale.down(np.array(weight))) == float(scale.nearest(np.array(weight))) == round(weight, 2)


def test_nothing_that_is_to_be_weighed_is_rounded_away() -> None:
    assert float(FINE_AND_KITCHEN.nearest(np.array(0.02))) == 0.1


@pytest.mark.parametrize(
    ("written", "unit"), [("oz", "oz"), ("g", "g"), ("kg", "g"), ("lb", "lb oz"), ("lb oz", "lb oz"), (None, "g")]
)
def test_unit_to_weigh_in_follows_the_recipe(written: str | None, unit: str) -> None:
    assert read_bench({}).unit_for(written) == unit
    assert read_bench({"weigh_in": "lb oz"}).unit_for(written) == "lb oz"


def test_pot_and_shares() -> None:
    bench = read_bench({"pot": "8 qt", "headspace": "3 %", "left_in_pot": "1,5"})
    assert bench.pot_ml == pytest.approx(8 * 946.352946)  # US liquid quart, NIST Handbook 44, Appendix C
    assert (bench.headspace, bench.left_in_pot) == (3.0, 1.5)


@pytest.mark.parametrize(
    ("said", "shows"),
    [
        ({"scale": "fine"}, "0.01 oz to 16 oz"),
        ({"scale": "1 g to 500 g, 0.1 g to 5 kg"}, "should rise"),
        ({"scale": "1 tsp"}, "is not a weight"),
        ({"weigh_in": "stone"}, "oz, g, lb oz"),
        ({"pot": "8"}, "8 qt"),
        ({"pot": "3 kg"}, "7.5 L"),
        ({"headspace": "70 %"}, "from 0 to 50"),
        ({"left_in_pot": "some"}, "from 0 to 50"),
        ({"kettle": "3 L"}, "Known: scale"),
    ],
)
def test_a_slip_shows_how_it_is_written(said: dict[str, str], shows: str) -> None:
    with pytest.raises(SettingError, match=shows):
        read_bench(said)
