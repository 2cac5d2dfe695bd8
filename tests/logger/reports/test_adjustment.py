"""The text of an adjustment: shims are added, screws move to or from the axis, what they leave."""

from dataclasses import replace

from example_results import own, reports

from analysis.correction import adjust
from analysis.setup import Surface
from logger.reports import adjustment
from logger.reports.phrases import layout


def test_shims_under_a_face_are_only_added() -> None:
    report = reports()["adjustment"]
    assert report.answer.startswith("Shims that take the wobble of 0.140 mm (5.5 thou) out: ")
    assert "+-" not in layout(report)


def test_moves_of_screws_are_away_from_or_toward_the_axis() -> None:
    found = adjust(own().on_part(), [63.0, 243.0], surface="outside")
    outside = replace(
        own(), result=replace(own().result, setup=replace(own().result.setup, surface="outside"))
    )
    answer = adjustment.as_text(found, outside, "mm").answer
    assert "toward the axis at 63 deg" in answer
    assert "away from the axis at 243 deg" in answer


def test_in_a_bore_the_last_sentence_says_that_the_indicator_goes_the_other_way() -> None:
    found = adjust(own().on_part(), [63.0, 243.0], surface="bore")
    said = {}
    for surface in (Surface.OUTSIDE, Surface.BORE):
        seen = replace(
            own(), result=replace(own().result, setup=replace(own().result.setup, surface=surface))
        )
        said[surface] = layout(adjustment.as_text(found, seen, "mm")).splitlines()[-1]
    assert "changed by its move, sweep again." in said[Surface.OUTSIDE]
    assert "changed by its move with the other sign (a bore reads + as -), sweep again." in said[Surface.BORE]


def test_screws_that_cannot_take_it_out_say_what_they_leave() -> None:
    found = adjust(own().on_part(), [153.0, 333.0], surface="outside")
    (note,) = adjustment.as_text(found, own(), "mm").notes
    assert note.startswith("These screws leave 0.1")
    assert note.endswith(" TIR of order 1: none points that way.")
