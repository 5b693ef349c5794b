import math

import pytest

from sheetcheck.report.arithmetic import Worked, constant, root_of_squares, total

A, B, C = Worked("A1", 8.0), Worked("B1", 4.0), Worked("C1", 2.0)


@pytest.mark.parametrize(
    ("worked", "text", "value"),
    [
        (A + B, "A1+B1", 12),
        (A - (B + C), "A1-(B1+C1)", 2),
        (A - (B - C), "A1-(B1-C1)", 6),
        (A * (B + C), "A1*(B1+C1)", 48),
        (A / (B * C), "A1/(B1*C1)", 1),
        (A / (B / C), "A1/(B1/C1)", 4),
        (A * B / C, "A1*B1/C1", 16),
        (100 * (1 - A / B), "100*(1-A1/B1)", -100),
        (A * 1 / 1, "A1", 8),
        (1 * A, "A1", 8),
        (A * 0.5, "A1*0.5", 4),
        (A + constant(-2), "A1+-2", 6),
        (constant(-2) * A, "(-2)*A1", -16),
        (total([A, B, C]), "A1+B1+C1", 14),
        (total([]), "0", 0),
        (total([A, B]) * C, "(A1+B1)*C1", 24),
        (root_of_squares([B, constant(3)]), "SQRT(SUMSQ(B1,3))", 5),
        (root_of_squares([]), "0", 0),
    ],
)
def test_text_and_value_are_the_same_step(worked: Worked, text: str, value: float) -> None:
    assert worked.text == text
    assert worked.value == pytest.approx(value)


def test_small_numbers_are_written_as_a_spreadsheet_reads_them() -> None:
    assert constant(1.5e-7).text == "1.5E-07"
    assert constant(20).text == "20"


def test_a_division_by_nothing_is_not_known() -> None:
    assert math.isnan((A / 0).value)


def test_it_gives_a_number_to_nine_digits() -> None:
    assert A.gives(8 * (1 + 1e-11))
    assert not A.gives(8.000001)
