"""Part and spindle told apart from sweeps that were made from both: the shares, and what is refused."""

import math
from functools import cache

import pytest
from indexed_sweeps import indexed_sweep, turned
from wobbles import order_one

from analysis.errors import BadInput
from analysis.separation import first_of
from logger.inputs import AnalysedSweep
from logger.studies import SeparationStudy, study_separation

PART, SPINDLE = order_one(0.140, 63.0), order_one(0.030, 150.0)
FACE = {"surface": "face", "track_radius": "110 mm", "mark_on": "part"}


@cache
def sweep_at(
    index_deg: float, *, part: complex = PART, spindle: complex = SPINDLE, **setup: str
) -> AnalysedSweep:
    """Return what reads the part and, wherever the part sits, the spindle that does not move with it."""
    read = part + turned(spindle, -index_deg)
    name = f"at-{index_deg:g}.mcap"
    return indexed_sweep(
        read, name=name, index_deg=index_deg, seed=int(index_deg) + 1, **{**FACE, **setup}
    )  # fmt: skip


def both_shares(study: SeparationStudy) -> tuple[complex, complex]:
    (first, *_) = study.separation.orders
    assert first.part_mm is not None
    assert first.spindle_mm is not None
    return first.part_mm, first.spindle_mm


@pytest.mark.parametrize("index_deg", [60.0, 180.0, 250.0])
def test_two_places_tell_part_and_spindle_apart(index_deg: float) -> None:
    study = study_separation([sweep_at(0.0), sweep_at(index_deg)])
    part, spindle = both_shares(study)
    (first, *_) = study.separation.orders
    assert abs(part - PART) < 4 * first.u_part_mm
    assert abs(spindle - SPINDLE) < 4 * first.u_spindle_mm


def test_half_a_turn_leaves_even_orders_in_one_piece() -> None:
    study = study_separation([sweep_at(0.0), sweep_at(180.0)])
    assert study.separation.not_separable == tuple(range(2, 16, 2))


def test_before_the_cut_it_says_what_a_half_turn_after_it_would_read() -> None:
    # The cut levels part and spindle together; turned on by half a turn the spindle's share reads twice.
    half_turn = study_separation([sweep_at(0.0), sweep_at(180.0)]).half_turn
    assert half_turn is not None
    assert half_turn.tir_first_mm == pytest.approx(0.060, abs=4 * 2 * half_turn.u_mm[0])


def test_an_index_angle_wrong_by_a_degree_moves_the_spindle_by_a_share_of_the_part() -> None:
    # S = (A_1 + A_2) / 2 at half a turn: a degree off leaves half a degree's chord of the part in it.
    study = study_separation([sweep_at(0.0), sweep_at(180.0)])
    assert study.one_degree_mm == pytest.approx(0.140 * math.radians(1.0) / 2.0, rel=0.01)


def test_the_arbor_alone_and_one_place_tell_as_much() -> None:
    arbor = indexed_sweep(SPINDLE, name="arbor.mcap", **FACE | {"mark_on": "arbor"})
    study = study_separation([sweep_at(0.0)], [arbor])
    part, spindle = both_shares(study)
    (first, *_) = study.separation.orders
    assert abs(part - PART) < 4 * first.u_part_mm
    assert abs(spindle - SPINDLE) < 4 * first.u_spindle_mm
    assert study.separation.not_separable == ()
    assert any("cones and clamping are not in it" in note for note in study.notes)


def test_an_arbor_swept_nearer_the_middle_is_scaled_to_the_parts_track() -> None:
    inner = FACE | {"mark_on": "arbor", "track_radius": "55 mm"}
    study = study_separation([sweep_at(0.0)], [indexed_sweep(SPINDLE / 2.0, **inner)])
    _, spindle = both_shares(study)
    assert abs(spindle - SPINDLE) < 4 * study.separation.orders[0].u_spindle_mm


# The lathe read nothing right after the cut: what a sweep re-indexed by so many degrees reads then.


def after_cut(index_deg: float) -> AnalysedSweep:
    return sweep_at(index_deg, part=-SPINDLE, stage="half turn")


def test_after_the_cut_half_a_turn_reads_twice_the_spindle() -> None:
    (remount,) = study_separation([after_cut(180.0)], cut_at_deg=0.0).remounts
    assert remount.reading.times == pytest.approx(2.0)
    known = first_of(remount.reading.spindle)
    assert abs(known.tir_first.value - 0.030) < 4 * known.tir_first.u
    assert abs(known.high_side.value - 150.0) < 4 * known.high_side.u


def test_what_the_cut_left_on_the_lathe_turns_with_the_part_and_comes_off() -> None:
    left = order_one(0.012, 300.0)
    cut = [
        sweep_at(deg, part=left - SPINDLE, stage=stage)
        for deg, stage in ((0.0, "after cut"), (180.0, "half turn"))
    ]
    (remount,) = study_separation(cut).remounts
    known = first_of(remount.reading.spindle)
    assert abs(known.tir_first.value - 0.030) < 4 * known.tir_first.u
    assert remount.sweep is cut[1]


def test_after_the_cut_a_third_of_a_turn_reads_the_chord_of_it() -> None:
    (remount,) = study_separation([after_cut(120.0)], cut_at_deg=0.0).remounts
    assert remount.reading.times == pytest.approx(2.0 * math.sin(math.radians(60.0)))


def test_where_the_part_stands_as_it_was_cut_nothing_of_the_spindle_is_told() -> None:
    study = study_separation([after_cut(0.0)], cut_at_deg=0.0)
    assert 1 in study.remounts[0].reading.blind_orders
    assert not study.separation.first_separable
    assert study.half_turn is None


# Part and tip moved to the other side: the spindle's motion toward the tip has the other sign.


def reversal() -> list[AnalysedSweep]:
    outside = {"surface": "outside", "track_radius": ""}
    return [
        sweep_at(0.0, tip_clock="12", **outside),
        sweep_at(180.0, spindle=-turned(SPINDLE, 180.0), tip_clock="6", **outside),
    ]


def test_a_reversal_tells_every_order_of_an_outside() -> None:
    study = study_separation(reversal())
    part, spindle = both_shares(study)
    (first, *_) = study.separation.orders
    assert study.reversal is not None
    assert abs(part - PART) < 4 * first.u_part_mm
    assert abs(spindle - SPINDLE) < 4 * first.u_spindle_mm
    assert study.separation.not_separable == ()


REFUSED = {
    "one sweep": ([sweep_at(0.0)], [], None, "give two or more"),
    "no sweep": ([], [], None, "give two or more"),
    "another radius": (
        [sweep_at(0.0), sweep_at(180.0, track_radius="55 mm")], [], None, "different radii (110 mm, 55 mm)",
    ),
    "another plane": (
        [sweep_at(k * 180.0, surface="outside", track_radius="", track_plane=f"{k} mm") for k in (0, 1)],
        [], None, "different planes (0 mm, 1 mm)",
    ),
    "an arbor measured from the part's mark": ([sweep_at(0.0)], [sweep_at(180.0)], None, "mark_on=arbor"),
    "a cut and an arbor": ([sweep_at(0.0)], [sweep_at(180.0)], 0.0, "one or the other"),
    "a tip moved and the part not": (
        [sweep_at(0.0, tip_clock="12"), sweep_at(90.0, tip_clock="6")], [], None, "12, 6 o'clock",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("sweeps", "arbors", "cut_at_deg", "words"), REFUSED.values(), ids=REFUSED)
def test_what_tells_nothing_together_is_refused(
    sweeps: list[AnalysedSweep], arbors: list[AnalysedSweep], cut_at_deg: float | None, words: str
) -> None:
    with pytest.raises(BadInput) as refusal:
        study_separation(sweeps, arbors, cut_at_deg=cut_at_deg)
    assert words in str(refusal.value)
