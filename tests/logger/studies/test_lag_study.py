"""A gauge's lag learnt from sweeps both ways round and at two speeds."""

import math
from dataclasses import replace

import pytest
from indexed_sweeps import indexed_sweep, turned
from wobbles import order_one

from analysis.errors import BadInput
from analysis.sweep import analyse
from logger.inputs import AnalysedSweep
from logger.reports import learnt_lag
from logger.studies import study_lag

PART = order_one(0.100, 50.0)
LAG_S = 0.120


def directed(direction: int, rpm: float, **other: str) -> AnalysedSweep:
    """Return a sweep of a gauge that is late: what it shows lags by so much of the turn."""
    behind_deg = direction * LAG_S * rpm * 6.0
    setup = {"part": "check ring", "surface": "face", "track_radius": "80 mm"} | other
    name = f"{direction * rpm:+g}"
    bare = indexed_sweep(turned(PART, behind_deg), name=name, direction=direction, rpm=rpm, **setup)
    counted = replace(bare.capture, counts_per_turn=2400.0)
    return AnalysedSweep(name, counted, analyse(counted), None)


def test_three_sweeps_tell_the_lag_and_where_it_is_high_without_it() -> None:
    study = study_lag([directed(1, 6.0), directed(-1, 6.0), directed(1, 2.5)])
    low, high = study.found.lag.interval()
    assert low <= LAG_S <= high
    assert math.degrees(study.found.high_side.value) == pytest.approx(50.0, abs=0.3)
    assert study.found.play_mm == pytest.approx(0.0, abs=0.001)


def test_a_delay_that_was_declared_already_is_not_learnt_away() -> None:
    declared = {"gauge_delay": "100 +- 10 ms"}
    study = study_lag(
        [directed(1, 6.0, **declared), directed(-1, 6.0, **declared), directed(1, 2.5, **declared)]
    )
    assert study.found.lag.value == pytest.approx(LAG_S, abs=0.005)


def test_it_is_written_as_a_set_up_takes_it() -> None:
    study = study_lag([directed(1, 6.0), directed(-1, 6.0), directed(1, 2.5)])
    written = learnt_lag.delay_as_written(study)
    again = study_lag(
        [directed(1, 6.0, gauge_delay=written), directed(-1, 6.0), directed(1, 2.5)],
    ).sweeps[0]
    assert again.result.setup.gauge_delay is not None
    assert again.result.setup.gauge_delay.u_s == pytest.approx(study.found.lag.u, abs=2e-4)


@pytest.mark.parametrize(
    ("sweeps", "words"),
    [
        ([(1, 6.0), (-1, 6.0)], "give one forward, one backward and one at another speed"),
        ([(1, 6.0), (1, 3.0), (1, 2.0)], "the other way too"),
        ([(1, 6.0), (-1, 6.0), (1, 6.1)], "need two speeds one way"),
    ],
)
def test_sweeps_that_do_not_tell_are_refused(sweeps: list[tuple[int, float]], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        study_lag([directed(*each) for each in sweeps])


def test_sweeps_from_different_marks_are_refused() -> None:
    other = directed(1, 2.5, mark_on="arbor")
    with pytest.raises(BadInput, match="leave part and mark as they are"):
        study_lag([directed(1, 6.0), directed(-1, 6.0), other])
