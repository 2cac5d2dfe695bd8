"""Owners of an error from all sweeps of a job, held to sums made from known shares."""

import math

import numpy as np
import pytest
from wobbles import order_one

from analysis.numerics.order_vectors import OrderVectors, exact
from analysis.separation.by_position import separate
from analysis.separation.error_sources import ArborSweep, find_error_sources

PART = np.array([order_one(0.142, 63.0), order_one(0.018, 40.0)])
SEAT = np.array([order_one(0.022, 260.0), 0.0])
SPINDLE = np.array([order_one(0.030, 150.0), 0.0])
DIRT = np.array([order_one(0.090, 20.0), 0.0])
EXACT = 1e-12
"""Sums of a few numbers of size 0.1 in float64."""


def on_arbor(z: np.ndarray, deg: float) -> ArborSweep:  # type: ignore[type-arg]
    orders = np.arange(1, len(z) + 1)
    return ArborSweep(exact(z * np.exp(1j * orders * math.radians(deg)) + SPINDLE), deg)


def apart(*sweeps: ArborSweep):  # type: ignore[no-untyped-def]
    return separate([one.vectors for one in sweeps], [one.index_deg for one in sweeps])


def first_of(found, name: str) -> complex:  # type: ignore[no-untyped-def]
    share = found.share(name)
    assert share is not None
    return complex(share.vectors.z_mm[0])


def whole_job():  # type: ignore[no-untyped-def]
    on_part = PART + SEAT
    mountings = [on_arbor(on_part + DIRT, 0.0), on_arbor(on_part, 0.0)]
    return find_error_sources(exact(PART), mountings, apart(mountings[-1], on_arbor(on_part, 180.0)))


@pytest.mark.parametrize(("name", "share"), [("part", PART), ("seat", SEAT), ("spindle", SPINDLE)])
def test_each_share_comes_back(name: str, share: np.ndarray) -> None:  # type: ignore[type-arg]
    assert abs(first_of(whole_job(), name) - share[0]) < EXACT


def test_dirt_is_what_the_first_mounting_had_more_than_the_last() -> None:
    assert abs(first_of(whole_job(), "dirt") - DIRT[0]) < EXACT


def test_even_orders_after_a_half_turn_are_named_and_not_told() -> None:
    found = whole_job().share("spindle")
    assert found is not None
    assert (found.missing, found.vectors.z_mm[1]) == ((2,), 0.0)


def test_the_part_as_found_is_told_whole() -> None:
    found = whole_job().share("part")
    assert found is not None
    assert found.missing == ()


def test_without_a_sweep_in_its_bearings_part_and_seat_stay_together() -> None:
    mounted = on_arbor(PART + SEAT, 0.0)
    found = find_error_sources(None, [mounted], apart(mounted, on_arbor(PART + SEAT, 180.0)))
    assert abs(first_of(found, "part and seat") - (PART + SEAT)[0]) < EXACT
    assert found.share("seat") is None


def test_one_index_angle_separates_nothing() -> None:
    found = find_error_sources(exact(PART), [on_arbor(PART + SEAT, 0.0)])
    assert [one.name for one in found.shares] == ["part"]
    assert found.separation is None


def test_mountings_at_other_places_of_the_arbor_tell_no_dirt() -> None:
    found = find_error_sources(None, [on_arbor(PART, 90.0), on_arbor(PART, 0.0)])
    assert found.share("dirt") is None


def test_the_band_of_one_order_is_its_own_uncertainty_all_round() -> None:
    # Equal and independent components of one order: the same standard deviation at every angle.
    known = OrderVectors(PART[:1], np.eye(2) * 1e-6, math.inf)
    angles = np.linspace(0.0, 2.0 * math.pi, 7)
    found = find_error_sources(known, []).shares[0]
    assert found.half_width_mm(angles) == pytest.approx(np.full(7, 1.96e-3), rel=1e-4)
