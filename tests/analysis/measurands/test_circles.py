"""Circles and zones against closed forms, a published fit, an exhaustive search, a certificate."""

import csv
import itertools
import math

import numpy as np
import pytest
from places import REFERENCE

from analysis.errors import BadInput, NotDecidable
from analysis.measurands.circles import (
    circle_through_points,
    circumscribed_circle,
    inscribed_circle,
    least_squares_circle,
    minimum_zone_circle,
)

PHI = np.linspace(0, 2 * math.pi, 720, endpoint=False)
RNG = np.random.default_rng(3)
FIRST_DRAW = RNG.bit_generator.state


@pytest.fixture(autouse=True)
def draws_begin_anew() -> None:
    """Every test draws the same whichever ran before it."""
    RNG.bit_generator.state = FIRST_DRAW


POINTS = REFERENCE / "circle_gander_golub_strebel_6pt.csv"
FITS = (least_squares_circle, minimum_zone_circle, inscribed_circle, circumscribed_circle)


def profile(places: int = 360) -> tuple[np.ndarray, np.ndarray]:
    phi = np.linspace(0, 2 * math.pi, places, endpoint=False)
    r = sum(RNG.normal(0, 0.01) * np.cos(n * phi + RNG.uniform(0, 6)) for n in range(1, 9))
    return phi, np.asarray(r)


def test_the_geometric_circle_through_six_points() -> None:
    """Gander, Golub, Strebel, BIT 34 (1994): centre (4.7398, 2.9835), r 4.7142."""
    rows = [
        row
        for row in csv.reader(POINTS.read_text("utf-8").splitlines())
        if row and not row[0].startswith("#")
    ]
    x, y = np.array([[float(cell) for cell in row] for row in rows[1:]]).T
    found = circle_through_points(x, y)
    # Four printed decimals.
    assert (found.x_mm, found.y_mm, found.radius_mm) == pytest.approx((4.7398, 2.9835, 4.7142), abs=5e-5)


def test_points_on_a_line_settle_no_circle() -> None:
    with pytest.raises(NotDecidable):
        circle_through_points([0, 1, 2, 3], [0, 1, 2, 3])


@pytest.mark.parametrize("fit", FITS)
def test_an_off_centre_circle_is_round(fit) -> None:  # type: ignore[no-untyped-def]
    found = fit(PHI, 0.3 * np.cos(PHI) - 0.1 * np.sin(PHI) + 2.0)
    assert (found.x_mm, found.y_mm, found.roundness_mm) == pytest.approx((0.3, -0.1, 0.0), abs=1e-9)


@pytest.mark.parametrize("k", [2, 3, 5, 8])
def test_a_pure_order_has_twice_its_amplitude(k: int) -> None:
    """Closed form: A cos k phi gives exactly 2 A in the minimum zone."""
    assert minimum_zone_circle(PHI, 0.01 * np.cos(k * PHI)).roundness_mm == pytest.approx(0.02, rel=1e-3)


@pytest.mark.parametrize("trial", range(10))
def test_the_minimum_zone_is_the_least_of_all(trial: int) -> None:
    phi, r = profile()
    least = minimum_zone_circle(phi, r).roundness_mm
    assert all(least <= fit(phi, r).roundness_mm + 1e-12 for fit in FITS)


@pytest.mark.parametrize("trial", range(5))
def test_four_points_by_turns_inside_and_outside_certify_it(trial: int) -> None:
    """de la Vallee-Poussin: at the optimum extremes alternate four times round."""
    phi, r = profile()
    found = minimum_zone_circle(phi, r)
    rest = r - found.x_mm * np.cos(phi) - found.y_mm * np.sin(phi)
    top, bottom = rest > rest.max() - 1e-9, rest < rest.min() + 1e-9
    signs = [1 if t else -1 for t, b in zip(top, bottom, strict=True) if t or b]
    changes = sum(a != b for a, b in itertools.pairwise([*signs, signs[0]]))
    assert changes >= 4


@pytest.mark.parametrize("trial", range(3))
def test_an_exhaustive_search_over_four_points_finds_the_same_zone(trial: int) -> None:
    phi, r = profile(14)
    best = math.inf
    for four in itertools.combinations(range(14), 4):
        for signs in ((1, -1, 1, -1), (-1, 1, -1, 1)):
            design = np.array(
                [[math.cos(phi[k]), math.sin(phi[k]), 1.0, s] for k, s in zip(four, signs, strict=True)]
            )
            if abs(np.linalg.det(design)) < 1e-9:
                continue
            x, y, middle, half = np.linalg.solve(design, r[list(four)])
            rest = r - x * np.cos(phi) - y * np.sin(phi) - middle
            if np.abs(rest).max() <= abs(half) * (1 + 1e-9):
                best = min(best, 2 * abs(half))
    assert minimum_zone_circle(phi, r).roundness_mm == pytest.approx(best, rel=1e-6)


@pytest.mark.parametrize("trial", range(3))
def test_inscribed_and_circumscribed_touch_and_do_not_cross(trial: int) -> None:
    phi, r = profile()
    inner, outer = inscribed_circle(phi, r), circumscribed_circle(phi, r)
    inside = r - inner.x_mm * np.cos(phi) - inner.y_mm * np.sin(phi) - inner.radius_mm
    outside = r - outer.x_mm * np.cos(phi) - outer.y_mm * np.sin(phi) - outer.radius_mm
    assert (inside.min(), outside.max()) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_half_a_turn_holds_no_inscribed_circle() -> None:
    half = np.linspace(0, math.pi / 2, 40)
    with pytest.raises(NotDecidable):
        inscribed_circle(half, np.zeros(40))


def test_a_profile_with_holes_in_its_numbers_is_refused() -> None:
    with pytest.raises(BadInput, match="not finite"):
        minimum_zone_circle([0, 1, 2], [0, math.nan, 0])
