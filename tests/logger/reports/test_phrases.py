"""What every report shares: its layout, whether to believe sweeps, limits, intervals, orders, places."""

import pytest
from example_results import CLEAR, DOUBTFUL, REFUSED, own

from analysis.results import Check, CheckState
from analysis.setup import parse_setup
from logger.reports.phrases import (
    Report,
    Section,
    Trust,
    between,
    layout,
    limit_words,
    listed,
    place_in_words,
    printable,
    trust_in_checks,
    trust_in_sweeps,
)

STEERING = "\x1b]0;mine\x07\x1b[2J\r\u202e"


def test_a_report_is_answer_trust_rows_notes_and_then_its_sections() -> None:
    report = Report(
        "It is so.",
        (Trust(("Doubtful: a.",), "b"), Trust(do="c")),
        rows=("row",),
        notes=("A note.",),
        sections=(Section("Title", ("first", "second"), ("Beneath.",)), Section(notes=("Last.",))),
    )
    assert layout(report).splitlines() == [
        "It is so.", "Doubtful: a.", "Do this: b.", "Do this: c.", "  row", "A note.",
        "", "Title", "  first", "  second", "Beneath.",
        "", "Last.",
    ]  # fmt: skip


def test_a_report_with_nothing_to_say_is_empty() -> None:
    assert layout(Report()) == ""


def test_nothing_of_a_report_steers_a_terminal() -> None:
    every = (STEERING,)
    report = Report(STEERING, (Trust(every, STEERING),), every, every, (Section(STEERING, every, every),))
    assert all(character.isprintable() or character == "\n" for character in layout(report))


def test_printable_leaves_nothing_that_steers_a_terminal() -> None:
    assert printable(f"a{STEERING}ü") == "a?]0;mine??[2J??ü"


# --- whether to believe it -------------------------------------------------------------------------------


def test_every_doubt_is_named_and_the_first_says_what_to_do() -> None:
    second = Check("rate", CheckState.DOUBTFUL, "too few values", "turn slower")
    assert trust_in_checks([CLEAR, DOUBTFUL, second]) == Trust(
        ("Doubtful: turned unevenly; too few values.",), "turn evenly"
    )


def test_of_refusals_the_first_is_named() -> None:
    second = Check("unit", CheckState.REFUSED, "the unit was changed", "sweep again")
    assert trust_in_checks([DOUBTFUL, REFUSED, second]) == Trust(
        ("Do not rely on it: the tip lifted off.",), "set the tip again"
    )


def test_each_sweep_is_named_with_its_own_check_and_once() -> None:
    trust, labels = trust_in_sweeps([own(DOUBTFUL), own(DOUBTFUL)])
    assert trust.lines == ("Doubtful: own.mcap: turned unevenly.",)
    assert labels == Trust()


# --- limits, intervals, orders ---------------------------------------------------------------------------

LIMITS = {
    "mm": (0.05, "0.05 mm", "0.05 mm (1.97 thou)"),
    "um": (0.05, "50 um", "50 um (1.97 thou)"),
    "thou": (0.0762, "3 thou", "3 thou (0.0762 mm)"),
    "inches": (0.0762, '0.003"', '0.003" (0.0762 mm)'),
}


@pytest.mark.parametrize(("mm", "as_written", "words"), LIMITS.values(), ids=LIMITS)
def test_a_limit_stands_as_written_and_in_the_other_system(mm: float, as_written: str, words: str) -> None:
    assert limit_words(mm, as_written) == words


def test_both_ends_of_an_interval_have_their_unit() -> None:
    assert between((0.0123, 0.0456), "mm") == "0.0123 mm to 0.0456 mm"


RUNS = {
    "none": ((), ""),
    "one": ((3,), "3"),
    "two in a row": ((3, 4), "3, 4"),
    "a run": ((2, 3, 4, 5), "2 to 5"),
    "a run between others": ((1, 3, 4, 5, 9, 10), "1, 3 to 5, 9, 10"),
}


@pytest.mark.parametrize(("orders", "words"), RUNS.values(), ids=RUNS)
def test_runs_of_orders_are_listed_by_their_ends(orders: tuple[int, ...], words: str) -> None:
    assert listed(orders) == words


# --- places ----------------------------------------------------------------------------------------------

PLACES = {
    "six holes": ("6", "part", 50.0, "50 deg past the part's mark (hole 1 plus 50)"),
    "the last of six": ("6", "part", 359.0, "359 deg past the part's mark (hole 6 plus 59)"),
    "at a hole": ("6", "part", 120.0, "120 deg past the part's mark (hole 3 plus 0)"),
    "beyond a turn": ("6", "part", 410.0, "50 deg past the part's mark (hole 1 plus 50)"),
    "holes listed evenly": ("0 120 240", "part", 130.0, "130 deg past the part's mark (hole 2 plus 10)"),
    "holes unevenly": ("0 100 240", "part", 130.0, "130 deg past the part's mark"),
    "on the arbor holes say nothing": ("6", "arbor", 50.0, "50 deg past the arbor's mark"),
    "no holes": ("", "part", 50.0, "50 deg past the part's mark"),
}


@pytest.mark.parametrize(("holes", "mark_on", "deg", "words"), PLACES.values(), ids=PLACES)
def test_a_place_is_told_by_its_hole(holes: str, mark_on: str, deg: float, words: str) -> None:
    assert place_in_words(deg, parse_setup({"holes": holes, "mark_on": mark_on})) == words


def test_a_hair_under_a_turn_is_not_called_360() -> None:
    place = place_in_words(359.99, parse_setup({"holes": "6"}))
    assert place.startswith("0 deg past the part's mark (hole 1")


def test_a_doubt_that_may_be_the_trace_of_another_comes_after_it() -> None:
    knock = Check("bumps", CheckState.DOUBTFUL, "a knock (see lag)", "take another turn", "lag")
    late = Check("lag", CheckState.DOUBTFUL, "late", "turn more slowly")
    assert trust_in_checks([knock, late]) == Trust(
        ("Doubtful: late; a knock (see lag).",), "turn more slowly"
    )
