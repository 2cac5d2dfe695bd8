"""Moves of screws and shims: the worm wheel's numbers, and the part that then runs true."""

import math

import numpy as np
import pytest
from wobbles import order_one

from analysis.correction.adjustment import adjust, reading_to_reach_mm, still_to_turn_mm
from analysis.errors import BadInput

WORM = order_one(0.024, 77)


def test_three_screws_of_the_worm_wheel() -> None:
    moves = [1000 * one.move_mm for one in adjust([WORM], [0, 120, 240]).moves]
    assert moves == pytest.approx([-2.7, -8.8, 11.5], abs=0.05)  # printed to 0.1 um


def test_three_screws_leave_nothing() -> None:
    assert adjust([WORM], [0, 120, 240]).left_first_mm == 0.0


def test_in_a_bore_the_moves_go_the_other_way() -> None:
    outside, bore = (adjust([WORM], [0, 120, 240], surface=each) for each in ("outside", "bore"))
    assert [one.move_mm for one in bore.moves] == pytest.approx([-one.move_mm for one in outside.moves])


def test_two_opposed_screws_leave_what_lies_across() -> None:
    assert adjust([order_one(0.02, 90)], [0, 180]).left_first_mm == pytest.approx(0.02)


def test_four_jaws_move_as_their_own_directions_ask() -> None:
    moves = [one.move_mm for one in adjust([order_one(0.02, 0)], [0, 90, 180, 270]).moves]
    assert moves == pytest.approx([-0.01, 0.0, 0.01, 0.0], abs=1e-15)


@pytest.mark.parametrize("screws", [[0, 120, 240], [10, 95, 200, 300]])
def test_shims_turn_the_plane_of_a_face_back(screws: list[float]) -> None:
    z = order_one(0.10, 40)
    found = adjust([z], screws, surface="face", screw_radius_mm=80.0, track_radius_mm=100.0)
    angle = np.radians(screws)
    # The plane through the shims, by least squares: at the track it is minus the wobble.
    design = np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle)], axis=1)
    plane = np.linalg.lstsq(design, np.array([one.move_mm for one in found.moves]), rcond=None)[0]
    assert complex(plane[1], plane[2]) * 100 / 80 == pytest.approx(-z, abs=1e-12)


def test_shims_are_only_added() -> None:
    found = adjust([WORM], [0, 120, 240], surface="face", screw_radius_mm=1.0, track_radius_mm=1.0)
    assert min(one.move_mm for one in found.moves) == 0.0


def test_the_dial_at_the_screw_tells_what_is_left_to_turn() -> None:
    assert still_to_turn_mm(-0.009, 0.020, 0.016) == pytest.approx(-0.005)
    assert reading_to_reach_mm(-0.009, 0.020) == pytest.approx(0.011)


@pytest.mark.parametrize(
    ("screws", "words"), [([0], "two or more"), ([0, 360], "different angles"), ([0, math.nan], "finite")]
)
def test_screws_that_settle_nothing_are_refused(screws: list[float], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        adjust([WORM], screws)


def test_a_face_without_its_radii_is_refused() -> None:
    with pytest.raises(BadInput, match="screw-radius"):
        adjust([WORM], [0, 120, 240], surface="face")
