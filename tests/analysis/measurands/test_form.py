"""Form over tracks: flatness, total runout, circles of an outside, in closed form."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from wobbles import order_one

from analysis import fit_sweep
from analysis.errors import BadInput
from analysis.harmonics import fit_harmonics
from analysis.measurands.form import Track, flatness_mm, forms, total_runout_mm
from analysis.numerics.order_vectors import exact
from analysis.uncertainty import Points

PHI = np.arange(3 * 360) * (2 * math.pi / 360)


def analysed(readings: np.ndarray, **setup: str):
    noise = np.random.default_rng(1).normal(0, 1e-7, len(PHI))
    return fit_sweep(PHI, readings + noise, PHI, setup=setup)


def test_a_plane_over_two_tracks_is_flat() -> None:
    tracks = [Track.of_curve(exact([order_one(2 * 0.001 * radius, 30)]), 0.0) for radius in (50.0, 100.0)]
    assert flatness_mm(tracks, [50.0, 100.0]) == pytest.approx(0.0, abs=1e-9)


def test_a_cone_shows_only_over_two_tracks() -> None:
    cone = [Track.of_curve(exact([0j]), height) for height in (0.0, 0.05)]
    assert flatness_mm(cone, [50.0, 100.0]) == pytest.approx(0.05)
    assert total_runout_mm(cone) == pytest.approx(0.05)


def test_total_runout_is_never_less_than_any_tracks() -> None:
    rng = np.random.default_rng(2)
    for _ in range(50):
        tracks = [exact(rng.normal(size=3) + 1j * rng.normal(size=3)) for _ in range(3)]
        total = total_runout_mm([Track.of_curve(track, rng.normal()) for track in tracks])
        assert all(total >= track.extremes.tir_mm - 1e-12 for track in tracks)


def test_an_eccentric_oval_has_the_roundness_of_its_oval() -> None:
    found = forms([analysed(0.2 * np.cos(PHI) + 0.01 * np.cos(2 * PHI), surface="outside")])[0]
    # Noise of 1e-7 mm, 720 points on the curve.
    assert (found.mzc_mm, found.lsc_mm) == pytest.approx((0.02, 0.02), abs=2e-6)
    assert found.flatness_mm is None


def test_with_its_radius_a_perfect_round_far_off_the_axis_is_round() -> None:
    """Closed form: about the axis it shows a false order 2 of e^2 / 4R, 0.02 mm of it here."""
    e, radius = 1.0, 25.0
    reading = e * np.cos(PHI) + np.sqrt(radius**2 - (e * np.sin(PHI)) ** 2) - radius
    near, known = (
        forms([analysed(reading, surface="outside", **given)])[0] for given in ({}, {"track_radius": "25 mm"})
    )
    # A thousandth of the false oval is left: 720 places, and a fit of a sweep of 1 mm to 1e-5 of it.
    assert (near.lsc_mm, known.lsc_mm) == (pytest.approx(0.02, abs=2e-4), pytest.approx(0.0, abs=2e-5))


def test_the_inscribed_circle_of_a_bore_lies_in_its_hole() -> None:
    # One high place inwards: the largest circle that goes in is pushed away from it, no wider than the rest.
    ridge = 0.01 * np.exp(-((((PHI - 1.0 + math.pi) % (2 * math.pi)) - math.pi) ** 2) / 0.18)
    bore, outside = (forms([analysed(ridge, surface=surface)])[0] for surface in ("bore", "outside"))
    # Where the rest is round more than one circle is the largest that goes in: they differ by 2e-5 mm.
    assert (bore.mic_mm, bore.mcc_mm) == pytest.approx((outside.mcc_mm, outside.mic_mm), abs=1e-4)
    assert bore.mic_mm != pytest.approx(bore.mcc_mm, abs=1e-3)


def test_a_saddle_is_no_more_flat_than_it_is_high() -> None:
    found = forms([analysed(0.1 * np.cos(PHI) + 0.01 * np.cos(2 * PHI), track_radius="80 mm")])[0]
    assert (found.flatness_mm, found.mzc_mm) == (pytest.approx(0.02, abs=2e-6), None)


def test_the_filter_takes_its_share_first() -> None:
    found = forms([analysed(0.01 * np.cos(15 * PHI), surface="outside")], filter_upr=15)[0]
    assert found.mzc_mm == pytest.approx(0.01, abs=3e-5)


def test_tracks_of_different_surfaces_are_refused() -> None:
    with pytest.raises(BadInput, match="different surfaces"):
        forms([analysed(np.cos(PHI)), analysed(np.cos(PHI), surface="bore")])


def test_tracks_of_a_face_without_their_radii_are_refused() -> None:
    with pytest.raises(BadInput, match="track_radius"):
        forms([analysed(np.cos(PHI)), analysed(np.cos(PHI))])


def read_at(places: int, readings: np.ndarray | None = None, **setup: str):
    """Return a sweep of a few places, one round, of what was read there (mm); else a part of many waves."""
    angle = np.arange(places + 1) * (2 * math.pi / places)
    if readings is None:
        readings = 0.05 * np.cos(angle - 0.5) + 0.01 * np.cos(2 * angle) + 0.004 * np.cos(5 * angle + 1.0)
    return fit_sweep(angle, readings, setup={"surface": "outside", **setup})


def test_circles_of_a_few_places_are_of_what_was_read_there() -> None:
    """The narrowest zone of N points by another road: all their fours, each with two inside and two outside."""
    result = read_at(12)
    found = forms([result])[0]
    assert result.points is not None
    angle, reading = result.points.angle_rad, result.points.reading_mm
    widest = 0.0
    for four in itertools.combinations(range(12), 4):
        # Weights that leave out centre and radius: the zone is as wide as these four ask for, at the least.
        rows = np.stack([np.ones(4), np.cos(angle[list(four)]), np.sin(angle[list(four)])])
        weights = np.linalg.svd(rows)[2][-1]
        widest = max(widest, 2 * abs(weights @ reading[list(four)]) / np.abs(weights).sum())
    assert found.points == 12
    assert found.mzc_mm == pytest.approx(widest, rel=1e-9)
    assert found.lsc_mm == pytest.approx(
        float(np.ptp(reading - fit_harmonics(angle, reading, highest_order=1).curve(angle))), rel=1e-9
    )
    assert found.total_mm == pytest.approx(float(np.ptp(reading)), rel=1e-12)


def test_one_place_that_stands_out_is_in_the_circles_of_points() -> None:
    """The fitted curve of a few places carries few orders: a place that stands up by 0.02 was less in it."""
    reading = np.where(np.arange(13) == 5, 0.02, 0.0)
    found = forms([read_at(12, reading)])[0]
    # About a circle through the others, which are round: 0.02 (closed form); no circle leaves more than that.
    assert found.mic_mm == pytest.approx(0.02, rel=1e-9)


def test_rounds_of_a_few_places_are_one_profile_of_their_mean() -> None:
    angle = np.arange(25) * (2 * math.pi / 12)
    result = fit_sweep(angle, 0.01 * np.cos(2 * angle) + 0.001 * (angle > 6.3), setup={"surface": "outside"})
    assert forms([result])[0].points == 12


def test_three_points_have_no_circle_of_their_own() -> None:
    found = forms([read_at(3)])[0]
    assert (found.lsc_mm, found.mzc_mm, found.mic_mm, found.mcc_mm) == (None, None, None, None)


def test_points_of_half_a_turn_have_neither_inscribed_nor_circumscribed_circle() -> None:
    points = Points(np.radians([0.0, 40.0, 80.0, 120.0, 160.0]), np.array([0.0, 1.0, 0.0, 2.0, 0.0]), 0.1)
    found = forms([replace(read_at(8), points=points)])[0]
    assert (found.mic_mm, found.mcc_mm) == (None, None)
    assert found.mzc_mm is not None


def test_a_face_read_at_a_few_places_is_as_flat_as_its_points() -> None:
    angle = np.arange(9) * (math.pi / 4)
    found = forms([read_at(8, 0.03 * np.cos(angle) + 0.005 * np.cos(4 * angle), surface="face")])[0]
    assert found.flatness_mm == pytest.approx(
        0.01, rel=1e-9
    )  # up and down by turns: no plane takes any of it


def test_points_are_no_curve_to_filter() -> None:
    with pytest.raises(BadInput, match="12 points are no curve"):
        forms([read_at(12)], filter_upr=15)
