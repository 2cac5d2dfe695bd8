"""What sweeps named together say: both directions, creep, whose a bump is, an axis from two planes."""

import math
from dataclasses import replace
from functools import cache

import pytest
from indexed_sweeps import indexed_sweep, turned
from wobbles import order_one

from analysis.capture import AngleSource
from analysis.errors import BadInput
from logger.inputs import AnalysedSweep
from logger.studies import at_planes, axis_of, relate

PART = order_one(0.100, 50.0)
FACE = {"part": "check ring", "surface": "face", "track_radius": "80 mm"}
LAG_S = 0.120


@cache
def directed(direction: int, rpm: float = 5.0, *, lag_s: float = 0.0, **other: str) -> AnalysedSweep:
    """Return a sweep of a gauge that is late: what it shows lags by so much of the turn."""
    behind_deg = direction * lag_s * rpm * 6.0
    name = f"{'on' if direction > 0 else 'back'}-{rpm:g}.mcap"
    return indexed_sweep(turned(PART, behind_deg), name=name, direction=direction, rpm=rpm, **FACE | other)


def test_a_sweep_in_each_direction_tells_by_how_much_the_high_places_differ() -> None:
    found = relate([directed(1, lag_s=LAG_S), directed(-1, lag_s=LAG_S)])
    (pair,) = found.opposite_directions
    assert (pair.forward.name, pair.backward.name) == ("on-5.mcap", "back-5.mcap")
    assert pair.pair.shift_rad == pytest.approx(
        math.radians(2 * LAG_S * 5.0 * 6.0), abs=4 * pair.pair.u_shift_rad
    )
    assert found.lag_and_play is not None
    assert found.lag_and_play.lag_s is None  # one speed cannot tell lag from hysteresis


def test_two_speeds_tell_the_lag_and_pair_slow_with_slow() -> None:
    sweeps = [directed(sign, rpm, lag_s=LAG_S) for sign, rpm in ((1, 12.0), (-1, 5.0), (1, 5.0), (-1, 12.0))]
    found = relate(sweeps)
    assert [(one.forward.name, one.backward.name) for one in found.opposite_directions] == [
        ("on-5.mcap", "back-5.mcap"),
        ("on-12.mcap", "back-12.mcap"),
    ]
    both = found.lag_and_play
    assert both is not None
    assert abs(both.lag_s - LAG_S) < 4 * both.u_lag_s


def test_sweeps_of_one_direction_make_no_pair() -> None:
    found = relate([directed(1), directed(1, 12.0)])
    assert (found.opposite_directions, found.lag_and_play) == ((), None)


@pytest.mark.parametrize("key", ["part", "surface", "stage", "gauge_id"])
def test_sweeps_of_two_mountings_are_not_held_against_each_other(key: str) -> None:
    other = {"part": "another", "surface": "outside", "stage": "as left", "gauge_id": "the second"}[key]
    assert relate([directed(1), directed(-1, **{key: other})]).opposite_directions == ()


def test_a_steady_spin_has_no_mark_to_compare_directions_from() -> None:
    steady = replace(directed(-1), result=replace(directed(-1).result, angle_source=AngleSource.STEADY))
    assert relate([directed(1), steady]).opposite_directions == ()


# Creep: the mean height of sweeps that should read alike.


def at_height(height_mm: float, name: str, direction: int = 1) -> AnalysedSweep:
    return indexed_sweep(PART, name=name, height_mm=height_mm, direction=direction, **FACE)


def test_a_stand_that_crept_is_told_by_so_much() -> None:
    (creep,) = relate([at_height(0.0, "first.mcap"), at_height(0.012, "last.mcap")]).creep
    assert (creep.first.name, creep.last.name) == ("first.mcap", "last.mcap")
    assert creep.moved_mm == pytest.approx(0.012, abs=0.0001)  # the mean of 1440 readings of 0.0005 mm noise


def test_a_stand_that_stayed_is_not_told_of() -> None:
    assert relate([at_height(0.0, "first.mcap"), at_height(0.0, "last.mcap")]).creep == ()


def test_heights_of_opposite_directions_are_not_compared() -> None:
    assert relate([at_height(0.0, "on.mcap"), at_height(0.012, "back.mcap", -1)]).creep == ()


# An axis from an outside or bore at two planes.


NEAR, FAR = order_one(0.040, 40.0), order_one(0.070, 150.0)
OUTSIDE = {"part": "roller", "surface": "outside"}


def at_plane(z: complex, plane: str, **other: str) -> AnalysedSweep:
    return indexed_sweep(z, name=f"{plane}.mcap", seed=2, **OUTSIDE | {"track_plane": plane} | other)


def test_two_planes_predict_every_other_on_a_straight_line() -> None:
    axis = axis_of([at_plane(NEAR, "0 mm"), at_plane(FAR, "600 mm")])
    (third,) = at_planes(axis, [300.0], 0.0)
    true = (NEAR + FAR) / 2.0
    assert third.plane_mm == 300.0
    assert abs(third.first.tir_first.value - 2.0 * abs(true)) < 4 * third.first.tir_first.u
    assert axis.tilted


def test_planes_that_agree_are_not_tilted() -> None:
    assert not axis_of([at_plane(NEAR, "0 mm"), at_plane(NEAR, "600 mm")]).tilted


REFUSED = {
    "one sweep": ([at_plane(NEAR, "0 mm")], "--plane with 1 sweep"),
    "a face": ([indexed_sweep(NEAR, **FACE)] * 2, "a face has no axis"),
    "no plane": ([indexed_sweep(NEAR, **OUTSIDE), at_plane(FAR, "600 mm")], "a.mcap has no track_plane"),
    "two parts": ([at_plane(NEAR, "0 mm"), at_plane(FAR, "600 mm", part="another")], "another"),
}


@pytest.mark.parametrize(("sweeps", "words"), REFUSED.values(), ids=REFUSED)
def test_what_makes_no_axis_is_refused(sweeps: list[AnalysedSweep], words: str) -> None:
    with pytest.raises(BadInput) as refusal:
        axis_of(sweeps)
    assert words in str(refusal.value)
