"""The text of an axis from two planes."""

from example_results import axis

from logger.reports import shaft_axis


def test_an_axis_that_is_tilted_says_by_how_much() -> None:
    report = shaft_axis.as_text(*axis(), "mm")
    assert report.answer.startswith(
        "Over the two planes the axis is tilted or bent: eccentricity changes by "
    )
    assert report.rows[0].startswith("At plane 300 mm: TIR of order 1 0.0")
