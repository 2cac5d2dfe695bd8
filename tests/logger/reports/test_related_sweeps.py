"""The text of what sweeps say together: lag, hysteresis, creep, or nothing."""

from dataclasses import replace

from example_results import related

from logger.reports import related_sweeps
from logger.reports.phrases import layout


def test_sweeps_at_two_speeds_tell_how_late_the_gauge_is_and_that_the_stand_crept() -> None:
    report = related_sweeps.as_text(related(), "mm")
    assert report.answer.startswith("Together: turned both ways at two speeds the high places differ by ")
    assert report.rows[0].startswith("The gauge is 120 ms late ")
    assert "the mean height moved by 0.0120 mm" in report.rows[1]


def test_one_speed_cannot_tell_lag_from_play() -> None:
    both = related().lag_and_play
    one_speed = replace(related(), lag_and_play=replace(both, lag_s=None, play_mm=None), creep=())
    assert "lag or play, one speed cannot tell. Do this: turn a pair at another speed" in (
        related_sweeps.as_text(one_speed, "mm").answer
    )


def test_sweeps_with_nothing_to_say_together_say_nothing() -> None:
    quiet = replace(related(), lag_and_play=None, opposite_directions=(), creep=(), bumps=())
    assert layout(related_sweeps.as_text(quiet, "mm")) == ""
