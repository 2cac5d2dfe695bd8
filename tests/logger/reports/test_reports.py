"""Every report: the answer first, then whether to believe it, then the one thing to do."""

import re

import pytest
from example_results import CLEAR, DOUBTFUL, REFUSED, reports

from logger.reports.phrases import layout

REPORTS = (
    *("adjustment", "backlash", "comparison", "cut", "hole_positions", "separation", "sweep", "thickness"),
)
"""Those whose sweeps have checks."""


@pytest.mark.parametrize("name", REPORTS)
def test_the_answer_is_line_one_and_a_sentence(name: str) -> None:
    report = reports()[name]
    assert layout(report).splitlines()[0] == report.answer
    assert report.answer.endswith(".")


def after_the_answer(name: str, *checks) -> list[str]:
    """Return the lines of trust; before and after also say first that they may be compared."""
    lines = layout(reports(*checks)[name]).splitlines()[1:]
    return lines[1:] if name == "comparison" else lines


@pytest.mark.parametrize("name", [name for name in REPORTS if name not in ("comparison", "sweep")])
def test_clear_checks_fold_into_one_line(name: str) -> None:
    assert after_the_answer(name, CLEAR)[0] == "All checks are clear."


@pytest.mark.parametrize("name", REPORTS)
def test_a_doubt_follows_the_answer_with_what_to_do(name: str) -> None:
    doubt, do = after_the_answer(name, CLEAR, DOUBTFUL)[:2]
    assert re.fullmatch(r"Doubtful: (\S+: )?turned unevenly\.", doubt)
    assert do == "Do this: turn evenly."


@pytest.mark.parametrize("name", [name for name in REPORTS if name not in ("comparison", "cut")])
def test_a_refusal_goes_before_a_doubt(name: str) -> None:
    refusal, do = after_the_answer(name, DOUBTFUL, REFUSED)[:2]
    assert re.fullmatch(r"Do not rely on it: (\S+: )?the tip lifted off\.", refusal)
    assert do == "Do this: set the tip again."


@pytest.mark.parametrize("unit", ["mm", "um", "in", "thou"])
@pytest.mark.parametrize("name", [name for name in REPORTS if name != "sweep"])
def test_lengths_are_in_the_wanted_unit(name: str, unit: str) -> None:
    metric = unit in ("mm", "um")
    other = "thou" if metric else "mm"
    assert re.search(rf"[0-9] {unit} \([0-9.]+ {other}\)", reports(unit=unit)[name].answer)


@pytest.mark.parametrize("name", REPORTS)
def test_nothing_printed_is_not_a_number(name: str) -> None:
    assert not re.search(r"\b(nan|inf|None)\b", layout(reports()[name]))
