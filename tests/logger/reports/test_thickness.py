"""The text of a thickness: its verdict, its gravest check, what two tips cannot tell."""

from example_results import CLEAR, DOUBTFUL, disc

from analysis.decision import Decision, DecisionState
from analysis.measurands import thickness_of_sweep
from analysis.numerics import Component, UncertainNumber
from analysis.results import Check, CheckState
from logger.reports import thickness


def undecided(why: str) -> Decision:
    number = UncertainNumber(0.016, {"scatter": Component(0.001)})
    return Decision("thickness", number, 0.016, "0.016 mm", 0.002, DecisionState.UNDECIDED, why, None)


def test_thickness_names_the_gravest_check_alone() -> None:
    second = Check("rate", CheckState.DOUBTFUL, "too few values", "turn slower")
    report = thickness.as_text(
        thickness_of_sweep(disc().result), None, [CLEAR, DOUBTFUL, second], "mm", two_tips=True
    )
    assert report.trust[0].lines == ("Doubtful: turned unevenly.",)


def test_thickness_that_is_not_decided_says_why() -> None:
    report = thickness.as_text(
        thickness_of_sweep(disc().result), undecided("too near"), [CLEAR], "mm", two_tips=True
    )
    assert report.answer.endswith(": not decided against the entered limit 0.016 mm (0.63 thou).")
    assert report.trust[1].lines == ("Not decided because: too near.",)


def test_two_tips_do_not_tell_how_thick_it_is() -> None:
    found = thickness_of_sweep(disc().result)
    tips, micrometer = (
        thickness.as_text(found, None, [CLEAR], "mm", two_tips=two).sections[0].notes for two in (True, False)
    )
    assert tips[1].startswith("Thinnest at ")
    assert micrometer[1].startswith("Thinnest -0.0")
    assert (tips[-1], micrometer[-1]) == (thickness.TWO_TIPS, thickness.MICROMETER)
