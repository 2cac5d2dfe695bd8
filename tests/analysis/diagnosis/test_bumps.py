"""Narrow bumps: each kind is told, placed and measured, and nothing is made up where there is none."""

import numpy as np
import pytest
from made_sweeps import Made, Shape, box, made, sum_of, wobble
from numpy.typing import NDArray

from analysis.diagnosis.bumps import BumpSearch, find_bumps
from analysis.setup import Hole

NOISE_MM, STEP_MM = 0.0008, 0.001
WOBBLE = wobble(0.030)
# The edge of a feature falls between two readings, 0.75 degrees apart, on either side.
PLACE_DEG = 0.75
WIDTH_DEG = 1.5
# Median of some readings with a noise of 0.0008 and the form's own uncertainty under the feature.
HEIGHT_MM = 0.002


def search(sweep: Made, holes: tuple[Hole, ...] = ()) -> BumpSearch:
    return find_bumps(sweep.angle_rad, sweep.reading_mm, sweep.turn, resolution_mm=STEP_MM, holes=holes)


def found(*shapes: Shape, turns: int = 3, seed: int = 1, holes: tuple[Hole, ...] = ()) -> BumpSearch:
    sweep = made(sum_of(WOBBLE, *shapes), turns=turns, noise_mm=NOISE_MM, step_mm=STEP_MM, seed=seed)
    return search(sweep, holes)


NAMED = [
    ("a narrow raised place", box(0.030, 200.0, 4.0), "nick", 4.0, 0.030),
    ("a broad raised place", box(0.030, 200.0, 10.0), "ridge", 10.0, 0.030),
    ("a narrow dent", box(-0.030, 200.0, 4.0), "nick", 4.0, -0.030),
    ("a broad dent", box(-0.030, 200.0, 10.0), "nick", 10.0, -0.030),
]


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize(("shape", "kind"), [case[1:3] for case in NAMED], ids=[case[0] for case in NAMED])
def test_a_feature_on_every_turn_is_named(shape: Shape, kind: str, seed: int) -> None:
    assert [bump.kind for bump in found(shape, seed=seed).bumps] == [kind]


@pytest.mark.parametrize(
    ("shape", "width", "height"), [(case[1], *case[3:]) for case in NAMED], ids=[case[0] for case in NAMED]
)
def test_a_feature_has_its_place_width_and_height(shape: Shape, width: float, height: float) -> None:
    (bump,) = found(shape).bumps
    assert bump.deg == pytest.approx(200.0, abs=PLACE_DEG)
    assert bump.width_deg == pytest.approx(width, abs=WIDTH_DEG)
    assert bump.height_mm == pytest.approx(height, abs=HEIGHT_MM)


def test_a_feature_on_every_turn_is_counted_on_every_turn() -> None:
    assert found(box(0.030, 200.0, 4.0), turns=5).bumps[0].turns == 5


def test_a_feature_over_the_mark_is_one_feature() -> None:
    (bump,) = found(box(0.030, 0.0, 6.0)).bumps
    assert (bump.deg + 180.0) % 360.0 == pytest.approx(180.0, abs=PLACE_DEG)


def once(deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """A knock of the bench at 200 degrees of the second turn."""
    return np.where(np.abs(deg - 560.0) < 2.0, 0.030, 0.0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_is_there_once_is_a_knock(seed: int) -> None:
    sweep = made(WOBBLE, noise_mm=NOISE_MM, step_mm=STEP_MM, seed=seed, also=once)
    assert [(bump.kind, bump.turns) for bump in search(sweep).bumps] == [("knock", 1)]


def test_a_knock_does_not_belong_to_the_part() -> None:
    sweep = made(WOBBLE, noise_mm=NOISE_MM, step_mm=STEP_MM, also=once)
    assert not search(sweep).bumps[0].repeats


def test_with_one_turn_a_feature_is_taken_for_the_parts() -> None:
    assert found(box(0.030, 200.0, 4.0), turns=1).bumps[0].repeats


def test_a_feature_missed_on_one_turn_in_five_still_belongs_to_the_part() -> None:
    def lifted_over_it(deg: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.where(np.abs(deg - 560.0) < 2.0, -0.030, 0.0)

    shape = sum_of(WOBBLE, box(0.030, 200.0, 4.0))
    sweep = made(shape, turns=5, noise_mm=NOISE_MM, step_mm=STEP_MM, also=lifted_over_it)
    assert [(bump.kind, bump.turns) for bump in search(sweep).bumps] == [("nick", 4)]


@pytest.mark.parametrize("holes", [3, 6, 8])
def test_even_low_places_are_bolt_holes(holes: int) -> None:
    shapes = [box(-0.2, 10.0 + 360.0 * k / holes, 6.0) for k in range(holes)]
    assert [bump.kind for bump in found(*shapes).bumps] == ["hole"] * holes


def test_two_low_places_alone_are_nicks() -> None:
    assert [bump.kind for bump in found(box(-0.05, 50.0, 4.0), box(-0.05, 230.0, 4.0)).bumps] == [
        "nick",
        "nick",
    ]


def test_low_places_that_are_not_even_are_nicks() -> None:
    shapes = [box(-0.05, deg, 4.0) for deg in (20.0, 100.0, 260.0)]
    assert [bump.kind for bump in found(*shapes).bumps] == ["nick"] * 3


def test_a_low_place_at_a_declared_hole_is_that_hole() -> None:
    assert [bump.kind for bump in found(box(-0.05, 50.0, 6.0), holes=(Hole(50.0, 6.0),)).bumps] == ["hole"]


def test_a_raised_place_at_a_declared_hole_is_its_burr_not_the_hole() -> None:
    assert [bump.kind for bump in found(box(0.05, 50.0, 4.0), holes=(Hole(50.0, 6.0),)).bumps] == ["nick"]


def test_a_declared_hole_that_does_not_show_is_no_bump() -> None:
    assert found(holes=(Hole(50.0, 6.0),)).bumps == ()


def test_bumps_are_told_in_the_order_of_their_angles() -> None:
    shapes = [box(0.030, deg, 3.0) for deg in (300.0, 40.0, 170.0)]
    assert [round(bump.deg, -1) for bump in found(*shapes).bumps] == [40.0, 170.0, 300.0]


def test_a_bump_is_kept_until_a_person_leaves_it_out() -> None:
    assert found(box(0.030, 200.0, 4.0)).bumps[0].kept


def lobes(order: int) -> Shape:
    def shape(deg: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(0.010 * np.cos(order * np.radians(deg)))

    return shape


@pytest.mark.parametrize("order", range(2, 16))
def test_lobes_are_form_and_no_bumps(order: int) -> None:
    assert found(lobes(order)).bumps == ()


@pytest.mark.parametrize("seed", range(1, 21))
def test_noise_alone_shows_no_bump(seed: int) -> None:
    # Six robust deviations: 2e-9 a reading by chance, 3e-6 over this sweep.
    assert found(seed=seed).bumps == ()


def swell(height_mm: float, middle_deg: float, width_deg: float) -> Shape:
    """A smooth rise, as wide as this at half its height."""

    def shape(deg: NDArray[np.float64]) -> NDArray[np.float64]:
        off = np.clip((np.mod(deg - middle_deg + 180.0, 360.0) - 180.0) / (2 * width_deg), -0.5, 0.5)
        return np.asarray(height_mm * np.cos(np.pi * off) ** 2)

    return shape


@pytest.mark.parametrize("width", [14.0, 18.0, 24.0])
def test_a_land_with_steep_sides_is_a_ridge_up_to_a_period_of_order_fifteen(width: float) -> None:
    assert [bump.kind for bump in found(box(0.030, 200.0, width)).bumps] == ["ridge"]


@pytest.mark.parametrize("width", [24.0, 40.0])
def test_a_smooth_rise_wider_than_a_period_of_order_fifteen_is_form(width: float) -> None:
    assert found(swell(0.030, 200.0, width)).bumps == ()


def test_the_total_with_bumps_is_that_of_the_ridge_on_the_wobble() -> None:
    # A ridge 0.040 high at the high side of a wobble of 0.030.
    assert found(box(0.040, 63.0, 10.0)).tir_with_bumps_mm == pytest.approx(0.070, abs=HEIGHT_MM)


def test_holes_add_nothing_to_the_total_with_bumps() -> None:
    shapes = [box(-0.2, 10.0 + 120.0 * k, 6.0) for k in range(3)]
    # Noise of 0.0008 on max and min of a fitted form: three deviations of either.
    assert found(*shapes).tir_with_bumps_mm == pytest.approx(0.030, abs=HEIGHT_MM)


def test_readings_on_a_bump_are_told_from_those_beside_it() -> None:
    sweep = made(sum_of(WOBBLE, box(0.030, 200.0, 10.0)), noise_mm=NOISE_MM, step_mm=STEP_MM)
    on = search(sweep).inside
    off = np.abs(np.mod(sweep.deg, 360.0) - 200.0)
    assert on[off < 4.9].all()
    assert not on[off > 6.5].any()  # half its width and two readings


def test_so_few_readings_are_not_searched() -> None:
    sweep = made(sum_of(WOBBLE, box(0.030, 200.0, 10.0)), turns=1, per_turn=47)
    assert search(sweep).bumps == ()
