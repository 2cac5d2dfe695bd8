"""The strict parser of lengths: what it takes, what it refuses and in which words, and the echo in both systems."""

import math

import pint
import pytest

from analysis.errors import BadInput
from analysis.units import (
    MM_PER,
    PRINTED_UNITS,
    format_both,
    format_length,
    parse_length,
    parse_number,
    to_mm,
)

# One multiplication stands between the text and the value: two units in the last place at most.
LAST_PLACES = 4e-16

ACCEPTED = [
    ("0.003in", 0.0762),
    ('0.003"', 0.0762),
    ("0.003 inch", 0.0762),
    ("2 inches", 50.8),
    ("3 thou", 0.0762),
    ("0.05 mm", 0.05),
    ("0,05 mm", 0.05),
    ("75 um", 0.075),
    ("75 µm", 0.075),  # micro sign
    ("75 μm", 0.075),  # Greek letter mu
    ("11 cm", 110.0),
    ("0.11 m", 110.0),
    ("50000 nm", 0.05),
    (".05 mm", 0.05),
    (",05 mm", 0.05),
    ("5. mm", 5.0),
    ("+0.05 mm", 0.05),
    ("-0.05 mm", -0.05),
    ("5e-2 mm", 0.05),
    ("0.05 MM", 0.05),
    ("  0.05   mm  ", 0.05),
    ("0,050 mm", 0.05),  # a leading zero: nobody groups thousands so
    ("12,50 mm", 12.5),
    ("1234,567 mm", 1234.567),  # four digits before it: no separator of thousands
]


@pytest.mark.parametrize(("text", "mm"), ACCEPTED, ids=[text for text, _ in ACCEPTED])
def test_one_number_and_one_unit_are_a_length(text: str, mm: float) -> None:
    assert parse_length(text).mm == pytest.approx(mm, rel=LAST_PLACES)


REFUSED = [
    ("0.05", "has no unit: write it with one, as 0.05 mm, 0.05 in or 0.05 thou"),
    ("", "is not one number and one unit"),
    ("mm", "is not one number and one unit"),
    ("0.05 mm 3", "is not one number and one unit"),
    ("0.05 mm max", "is not one number and one unit"),
    ("0.05 - 0.07 mm", "is not one number and one unit"),
    ("3/1000 in", "is not one number and one unit"),
    ("0.05.1 mm", "is not one number and one unit"),
    ("0.05 furlong", "'furlong' is no unit of length known here"),
    ("0.05 deg", "'deg' is no unit of length known here"),
    ("1,000.5 mm", "thousands separators"),
    ("1.000,5 mm", "thousands separators"),
    ("1,000,000 nm", "thousands separators"),
    ("1 000 um", "thousands separators"),
    ("1,000 um", "thousands separators"),
    ("12,500 mm", "thousands separators"),
    ("3 tenths", "0.0001 in in one shop"),
    ("a tenth", "0.0001 in in one shop"),
    ("5 hundredths", "0.0001 in in one shop"),
    ("one hundredth", "0.0001 in in one shop"),
    ("3 mil", "a thou here and a millimetre there"),
    ("3 Mils", "write the number with in, thou or mm"),
    ("inf mm", "is not one number and one unit"),
    ("nan mm", "is not one number and one unit"),
    ("1e999 mm", "is not a finite number"),
]


@pytest.mark.parametrize(("text", "words"), REFUSED, ids=[text or "nothing" for text, _ in REFUSED])
def test_anything_else_is_refused_and_told_why(text: str, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_length(text, "limit")
    assert words in str(refused.value)


@pytest.mark.parametrize("text", [text for text, _ in REFUSED])
def test_a_refusal_is_one_line_that_names_what_was_typed(text: str) -> None:
    with pytest.raises(BadInput) as refused:
        parse_length(text, "limit")
    said = str(refused.value)
    assert said.startswith(f"limit {text!r}")
    assert "\n" not in said


def test_a_refused_length_ends_a_command_as_bad_input() -> None:
    with pytest.raises(BadInput) as refused:
        parse_length("0.05")
    assert refused.value.exit_status == 2


def test_the_text_stays_as_it_was_written() -> None:
    assert parse_length("  0,050 mm ").as_written == "0,050 mm"


@pytest.mark.parametrize("text", ["0.05", "0,05", " .05 ", "5e-2"])
def test_a_bare_number_takes_a_point_or_a_comma(text: str) -> None:
    assert parse_number(text) == 0.05


@pytest.mark.parametrize("text", ["", "five", "1 2", "0.05 mm", "0x1p3", "nan", "-inf"])
def test_a_bare_number_with_anything_beside_it_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="is not a number"):
        parse_number(text)


@pytest.mark.parametrize("unit", [unit for unit in MM_PER if unit != '"'])
def test_the_small_table_is_that_of_pint(unit: str) -> None:
    known = pint.UnitRegistry().Quantity(1.0, unit).to("millimeter").magnitude
    # pint carries a unit through metres: a few units in the last place.
    assert MM_PER[unit] == pytest.approx(known, rel=1e-15)


def test_the_inch_sign_is_an_inch() -> None:
    assert MM_PER['"'] == MM_PER["in"]


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (0.142, "mm", "0.142 mm (5.6 thou)"),
        (0.142, "um", "142 um (5.6 thou)"),
        (0.0762, "in", "0.0030 in (0.076 mm)"),
        (0.0762, "thou", "3.0 thou (0.076 mm)"),
        (-0.0762, "thou", "-3.0 thou (-0.076 mm)"),
    ],
)
def test_a_length_is_echoed_in_both_systems(mm: float, unit: str, text: str) -> None:
    assert format_both(mm, unit) == text


@pytest.mark.parametrize("unit", PRINTED_UNITS)
def test_a_printed_length_reads_back_to_its_last_decimal(unit: str) -> None:
    text = format_length(0.123456, unit)
    decimals = len(text.split()[0].partition(".")[2])
    # Half of the last decimal that is printed.
    assert parse_length(text).mm == pytest.approx(0.123456, abs=0.5001 * 10**-decimals * MM_PER[unit])


def test_nothing_is_not_printed_with_a_minus_sign() -> None:
    assert format_length(-1e-9) == "0.0000 mm"


def test_the_number_of_decimals_can_be_asked_for() -> None:
    assert format_length(0.05, "mm", 2) == "0.05 mm"


def test_a_plain_number_is_taken_for_millimetres() -> None:
    assert to_mm(0.05) == 0.05


def test_a_pint_length_is_brought_to_millimetres() -> None:
    assert to_mm(pint.UnitRegistry().Quantity(3.0, "thou")) == pytest.approx(0.0762, rel=1e-15)


def test_a_pint_quantity_that_is_no_length_is_refused() -> None:
    with pytest.raises(BadInput, match="is not a length"):
        to_mm(pint.UnitRegistry().Quantity(3.0, "second"), "limit")


def test_every_unit_in_the_table_is_a_length_above_zero() -> None:
    assert all(math.isfinite(per) and per > 0 for per in MM_PER.values())
