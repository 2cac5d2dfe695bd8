"""What a cut on a mounting would leave: the mounting's own share, mirrored; its card; what is refused."""

import math
from functools import cache

import numpy as np
import pytest
from indexed_sweeps import indexed_sweep
from wobbles import order_one

from analysis.errors import BadInput
from analysis.setup import make_limit
from analysis.units import parse_length
from logger.inputs import AnalysedSweep
from logger.studies import CutStudy, card_of, predict, study_cut
from logger.studies.cut_study import between_passes, check_tracks

PART, MOUNT = order_one(0.140, 63.0), order_one(0.030, 200.0)
FACE = {"surface": "face", "track_radius": "110 mm"}
OUTSIDE = {"surface": "outside"}


@cache
def own(z: complex = PART, **setup: str) -> AnalysedSweep:
    """Return the part in its own bearings."""
    return indexed_sweep(z, name="own.mcap", **(setup or FACE))


@cache
def lathe(z: complex = PART + MOUNT, index_deg: float = 0.0, **setup: str) -> AnalysedSweep:
    """Return the part on the lathe."""
    return indexed_sweep(z, name="lathe.mcap", index_deg=index_deg, seed=2, **(setup or FACE))


def studied(one: AnalysedSweep, limit: str = "0.05 mm") -> CutStudy:
    return study_cut(
        own(), one, make_limit(parse_length(limit), "tir", surface="face", radius_mm=None), "face"
    )


def test_a_perfect_cut_leaves_minus_what_the_mounting_brought() -> None:
    found = predict(own(), lathe(), "face")
    assert abs(complex(found.mount.z_mm[0]) - MOUNT) < 4 * found.mount.u_mm[0]
    assert abs(complex(found.predicted.z_mm[0]) + MOUNT) < 4 * found.predicted.u_mm[0]
    assert found.tir.interval()[0] <= 0.030 <= found.tir.interval()[1]


@pytest.mark.parametrize(
    ("mount_mm", "advice"), [(0.030, "mounting-good"), (0.050, "undecided"), (0.090, "mount-again")]
)
def test_the_advice_holds_what_would_be_left_against_the_limit(mount_mm: float, advice: str) -> None:
    assert studied(lathe(PART + order_one(mount_mm, 20.0))).advice == advice


def test_without_clock_places_it_says_what_was_taken_for_granted() -> None:
    assert any("tip_clock and tool_clock" in note for note in studied(lathe()).notes)


def test_a_face_at_another_radius_is_scaled_as_a_plane() -> None:
    inner = lathe((PART + MOUNT) / 2.0, surface="face", track_radius="55 mm")
    found = predict(own(), inner, "face")
    assert abs(complex(found.predicted.z_mm[0]) + MOUNT) < 4 * found.predicted.u_mm[0]
    assert found.orders_predicted == 1


def test_two_tracks_of_the_mounting_tell_axial_motion_from_tilt() -> None:
    # Axial motion reads the same at both radii, tilt in proportion: at 110 mm they make 40 + 110 x 0.3.
    axial, per_mm = order_one(0.040, 10.0), order_one(0.0003, 10.0)
    tracks = [
        lathe(axial + per_mm * radius, surface="face", track_radius=f"{radius} mm") for radius in (55, 90)
    ]
    found = predict(own(), tracks[0], "face", tracks=tracks[1:])
    assert abs(complex(found.mount.z_mm[0]) - (axial + per_mm * 110 - PART)) < 4 * found.mount.u_mm[0]


def test_bearings_at_two_planes_are_told_at_the_mountings_own() -> None:
    far = order_one(0.060, 150.0)
    planes = [own(z, **OUTSIDE, track_plane=plane) for z, plane in ((PART, "0 mm"), (far, "600 mm"))]
    middle = lathe((PART + far) / 2.0 + MOUNT, **OUTSIDE, track_plane="300 mm")
    found = predict(planes[0], middle, "outside", second_plane=planes[1])
    assert abs(complex(found.mount.z_mm[0]) - MOUNT) < 4 * found.mount.u_mm[0]


def test_an_outside_in_another_plane_is_refused() -> None:
    bearings, mounting = own(**OUTSIDE, track_plane="0 mm"), lathe(**OUTSIDE, track_plane="300 mm")
    with pytest.raises(BadInput, match=r"track_plane 0 mm and lathe\.mcap at 300 mm"):
        predict(bearings, mounting, "outside")


def test_with_two_planes_every_sweep_needs_its_own() -> None:
    bearings = [own(**OUTSIDE, track_plane=plane) for plane in ("0 mm", "600 mm")]
    with pytest.raises(BadInput, match=r"lathe\.mcap has no track_plane"):
        predict(bearings[0], lathe(**OUTSIDE), "outside", second_plane=bearings[1])


# The card of the mounting that is on the lathe now.


def test_the_card_takes_the_face_down_to_its_lowest_place() -> None:
    now = studied(lathe())
    card = card_of(own(), now, {"allowance": 0.020, "pass_depth": 0.100}, "face")
    # From top to bottom of a plain wobble is its TIR; fourteen more orders of noise widen it a little.
    tir_mm = 2.0 * abs(PART + MOUNT)
    assert card.least_stock_mm == pytest.approx(tir_mm + 0.020, abs=0.0005)
    assert card.passes_mm == pytest.approx([card.least_stock_mm / 2.0] * 2)
    assert card.axial_shift_mm == pytest.approx(card.least_stock_mm - tir_mm / 2.0, abs=0.0005)


def test_a_mounting_to_be_made_again_has_a_card_without_a_depth() -> None:
    card = card_of(own(), studied(lathe(PART + order_one(0.090, 20.0))), {}, "face")
    assert card.depth_mm is None
    assert card.stops[0].startswith("mount it again: ")


# A sweep between passes: places that have not moved are not cut yet.


def test_where_nothing_is_cut_the_whole_turn_is_still_uncut() -> None:
    seen = between_passes(own(), studied(lathe()), lathe())
    assert seen.uncut_deg == 360.0


def test_a_pass_to_the_middle_leaves_half_the_turn_uncut() -> None:
    # min(A cos, 0) = -A / pi + A / 2 cos + sum over even n of 2 A (-1)^(n / 2) / (pi (n^2 - 1)) cos n.
    z = PART + MOUNT
    a, phase = abs(z), math.atan2(z.imag, z.real)
    half = [z / 2.0] + [
        2.0
        * a
        / (math.pi * (n * n - 1))
        * (-1.0) ** (n // 2)
        * complex(math.cos(n * phase), math.sin(n * phase))
        if n % 2 == 0
        else 0j
        for n in range(2, 15)
    ]
    between = indexed_sweep(*half, name="between.mcap", height_mm=-a / math.pi, index_deg=0.0, seed=3, **FACE)
    seen = between_passes(own(), studied(lathe()), between)
    # A place counts as uncut from two steps of the gauge under the level: two degrees on each side, and the
    # fifteen orders ring by as much again.
    assert seen.uncut_deg == pytest.approx(180.0, abs=8.0)
    assert seen.left_mm == pytest.approx(a, rel=0.05)


# Tracks are of one mounting, at radii of their own.


def test_a_track_at_the_same_radius_is_refused() -> None:
    with pytest.raises(BadInput, match="both at radius 110 mm"):
        check_tracks(lathe(), [lathe()], "face")


def test_a_track_without_a_radius_is_refused() -> None:
    with pytest.raises(BadInput, match="has no track_radius"):
        check_tracks(lathe(), [lathe(surface="face")], "face")


def test_a_track_of_another_mounting_is_refused() -> None:
    with pytest.raises(BadInput, match="tracks are of one mounting"):
        check_tracks(lathe(), [lathe(index_deg=90.0)], "face")


# What is left is held against the limit with every line that any other decision has.


def test_without_a_certificate_the_gauges_own_error_stands_between_a_limit_and_what_is_left() -> None:
    # Scatter alone leaves 0.030 within 0.0345; two readings of a gauge of 0.001 mm on either sweep do not.
    assert studied(lathe(), "0.0345 mm").advice == "undecided"
    assert studied(lathe(), "0.0345 mm").prediction.tir.one_sided()[1] < 0.0345


def test_it_says_what_the_gauge_was_taken_as() -> None:
    assert studied(lathe()).taken_as == ("gauge taken as +-0.002 mm: no certificate entered",)


def test_a_certificate_takes_the_place_of_what_was_assumed() -> None:
    certified = {"gauge_error": "0.0001 mm", "gauge_hysteresis": "0.0001 mm"}
    limit = make_limit(parse_length("0.0345 mm"), "tir", surface="face", radius_mm=None)
    found = study_cut(own(**FACE, **certified), lathe(**FACE, **certified), limit, "face")
    assert found.taken_as == ()
    assert found.decision.guard_mm < studied(lathe(), "0.0345 mm").decision.guard_mm - 0.0005
    (error,) = [line for line in found.unseen if line.source == "gauge's own error"]
    # Limits of error 0.1 um: sqrt 2 / sqrt 3 of it on each sweep (JCGM 100:2008, 4.3.7), two sweeps.
    assert error.origin == "certificate"
    assert error.part.u == pytest.approx(0.0001 * 2.0 / math.sqrt(3.0))


def test_the_guard_band_is_of_the_looks_factor_and_the_lines() -> None:
    """Rule: hypot(k u_random, 1.645 u of the rest) and what stands on one side, none of it left out."""
    found = studied(lathe())
    number, scatter = found.decision.number, found.prediction.tir_by_scatter
    looks = found.decision.looks
    drawn = looks.factor(found.prediction.predicted.dof) * (scatter.one_sided()[1] - scatter.value)
    rest = [part for name, part in number.parts.items() if name != "sweeps" and part.upward]
    fixed = math.hypot(*(1.644854 * part.u for part in rest))
    assert found.decision.guard_mm == pytest.approx(
        math.hypot(drawn, fixed) + sum(part.shift for part in rest), rel=1e-6
    )


def test_turns_that_nobody_planned_count_as_looks() -> None:
    planned = {**FACE, "turns_planned": "3"}
    limit = make_limit(parse_length("0.05 mm"), "tir", surface="face", radius_mm=None)
    found = study_cut(own(**planned), lathe(**planned), limit, "face").decision.looks
    assert (found.planned, found.z) == (3, pytest.approx(1.992))
    assert studied(lathe()).decision.looks.z > 2.0


def test_a_sweep_short_of_its_plan_decides_no_mounting() -> None:
    short = {**FACE, "turns_planned": "5"}
    limit = make_limit(parse_length("0.05 mm"), "tir", surface="face", radius_mm=None)
    found = study_cut(own(), lathe(**short), limit, "face")
    assert found.advice == "undecided"
    assert found.decision.why.startswith("3 of 5 planned turns")


def test_a_minimum_within_the_guard_band_stops_the_card() -> None:
    left_mm = card_of(own(), studied(lathe()), {"stock": 10.0}, "face").stock_left_mm
    assert left_mm is not None
    for over_mm, stops in ((0.001, 1), (0.050, 0)):
        card = card_of(own(), studied(lathe()), {"stock": 10.0, "minimum": left_mm - over_mm}, "face")
        assert len(card.stops) == stops
        assert 0.001 < card.guard_mm < 0.050
    # Without the lines of the budget it stood clear of the minimum by a thousandth.


def test_the_first_touch_is_told_as_wide_as_the_high_point() -> None:
    card = card_of(own(), studied(lathe()), {}, "face")
    assert card.first_touch_deg is not None
    assert card.first_touch_95_deg is not None
    low, high = card.first_touch_95_deg
    assert low < card.first_touch_deg < high
    assert high - low == pytest.approx(float(np.ptp(lathe().result.pooled.high_point.interval())))
