"""Form over tracks: flatness, total runout, circles of an outside, in closed form."""

import math

import numpy as np
import pytest
from wobbles import order_one

from analysis import fit_sweep
from analysis.errors import BadInput
from analysis.measurands.form import flatness_mm, forms, total_runout_mm
from analysis.numerics.order_vectors import exact

PHI = np.arange(3 * 360) * (2 * math.pi / 360)


def analysed(readings: np.ndarray, **setup: str):
    noise = np.random.default_rng(1).normal(0, 1e-7, len(PHI))
    return fit_sweep(PHI, readings + noise, PHI, setup=setup)


def test_a_plane_over_two_tracks_is_flat() -> None:
    tracks = [exact([order_one(2 * 0.001 * radius, 30)]) for radius in (50.0, 100.0)]
    assert flatness_mm(tracks, [0.0, 0.0], [50.0, 100.0]) == pytest.approx(0.0, abs=1e-9)


def test_a_cone_shows_only_over_two_tracks() -> None:
    flat = [exact([0j])] * 2
    assert flatness_mm(flat, [0.0, 0.05], [50.0, 100.0]) == pytest.approx(0.05)
    assert total_runout_mm(flat, [0.0, 0.05]) == pytest.approx(0.05)


def test_total_runout_is_never_less_than_any_tracks() -> None:
    rng = np.random.default_rng(2)
    for _ in range(50):
        tracks = [exact(rng.normal(size=3) + 1j * rng.normal(size=3)) for _ in range(3)]
        total = total_runout_mm(tracks, rng.normal(size=3))
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
