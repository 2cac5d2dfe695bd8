"""The cut card: least stock, passes, first touch, what stays uncut, and when no depth is given."""

import math

import numpy as np
import pytest
from wobbles import order_one

from analysis.correction.cut_plan import Track, depth_at, plan_cut, split_passes, still_uncut_deg
from analysis.errors import BadInput
from analysis.numerics.order_vectors import exact

WOBBLE = Track(exact([order_one(0.12, 75)]))


def test_the_least_stock_is_the_whole_height() -> None:
    assert plan_cut([WOBBLE]).least_stock_mm == pytest.approx(0.12)


def test_an_allowance_is_taken_below_the_lowest_place() -> None:
    assert plan_cut([WOBBLE], allowance_mm=0.01).depth_mm == pytest.approx(0.13)


def test_the_tool_touches_first_at_the_high_point() -> None:
    assert plan_cut([WOBBLE]).first_touch_deg == pytest.approx(75.0)


def test_tracks_on_one_zero_are_cut_to_the_lowest_of_all() -> None:
    assert plan_cut([WOBBLE, Track(WOBBLE.vectors, -0.05)]).least_stock_mm == pytest.approx(0.17)


def test_a_pass_of_half_a_wobble_leaves_half_the_turn() -> None:
    card = plan_cut([WOBBLE], pass_depth_mm=0.06)
    # 720 places: half a degree.
    assert card.uncut_after_pass_deg == pytest.approx((180.0, 0.0), abs=1.0)


@pytest.mark.parametrize(
    ("depth", "deepest", "count"), [(0.12, 0.05, 3), (0.12, 0.06, 2), (0.12, None, 1), (0.0, 0.1, 0)]
)
def test_passes_are_even_and_no_deeper_than_asked(depth: float, deepest: float | None, count: int) -> None:
    passes = split_passes(depth, deepest)
    assert (len(passes), sum(passes)) == (count, pytest.approx(depth))


def test_the_mean_plane_moves_by_half_a_plain_wobble() -> None:
    assert plan_cut([WOBBLE]).axial_shift_mm == pytest.approx(0.06, abs=1e-6)


def test_stock_left_is_what_there_is_less_the_depth() -> None:
    assert plan_cut([WOBBLE], stock_mm=5.0, minimum_mm=4.0).stock_left_mm == pytest.approx(4.88)


def test_under_the_minimum_nothing_is_given() -> None:
    card = plan_cut([WOBBLE], stock_mm=5.0, minimum_mm=4.9)
    assert (card.depth_mm, card.passes_mm, card.first_touch_deg, len(card.stops)) == (None, (), None, 1)


def test_without_a_minimum_the_stock_is_not_checked_and_it_says_so() -> None:
    assert "stock not checked" in plan_cut([WOBBLE], stock_mm=5.0).notes[0]


def test_a_stop_known_before_gives_no_depth() -> None:
    assert plan_cut([WOBBLE], stops=["mount it again"]).depth_mm is None


def test_an_outside_has_no_axial_shift() -> None:
    assert plan_cut([WOBBLE], surface="outside").axial_shift_mm is None


def test_the_depth_at_a_place_is_its_height_over_the_lowest() -> None:
    places = depth_at(plan_cut([WOBBLE], allowance_mm=0.01), 12)
    assert len(places) == 12
    for deg, depth in places:
        expected = 0.06 * (1 + math.cos(math.radians(deg - 75))) + 0.01
        assert depth == pytest.approx(expected, abs=1e-9)


def test_with_a_stop_no_depth_is_given_anywhere() -> None:
    assert depth_at(plan_cut([WOBBLE], stops=["mount it again"]), 12) == []


def test_a_sweep_between_passes_tells_the_arc_still_uncut() -> None:
    # A pass that takes off everything above half height: the curve after it, in many orders.
    phi = np.linspace(0, 2 * math.pi, 4096, endpoint=False)
    before = 0.06 * np.cos(phi)
    after = np.minimum(before, 0.0)
    z = 2 / 4096 * np.exp(1j * np.multiply.outer(np.arange(1, 40), phi)) @ np.stack([before, after], axis=1)
    uncut = still_uncut_deg(exact(z[:, 1]), exact(z[:, 0]), 0.002)
    # The change passes 0.002 mm two degrees past the edge on each side; forty orders round it a little.
    assert uncut == pytest.approx(180.0, abs=8.0)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"minimum_mm": 1.0}, "give --stock"),
        ({"pass_depth_mm": 0.0}, "not above zero"),
        ({"allowance_mm": -0.1}, "below zero"),
    ],
)
def test_what_makes_no_sense_is_refused(asked: dict, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        plan_cut([WOBBLE], **asked)
