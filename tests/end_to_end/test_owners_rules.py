"""Rules of owners, comparability and form by commands alone: what cannot be told, what may be compared."""

import cmath
import math
from pathlib import Path

import pytest
from brute_force import best_next_position_deg
from places import RECORDINGS
from running import json_of, printed
from written_sweeps import write_csv

from logger.practice.stories import wind_pump_shop
from logger.practice.stories.catalogue import scenario

AFTER, FOUND = "practice:wind-pump/after-cut", "practice:wind-pump/as-found"
MOUNT, INNER = "practice:wind-pump/mount-2", "practice:wind-pump-shop/mount-2-inner"


def at(folder: Path, *angles: float) -> list[str]:
    """Write one sweep from the part's mark at each index angle."""
    return [
        write_csv(folder / f"{k}.csv", 0.05, 40.0 + k, index_angle=f"{deg:g}") for k, deg in enumerate(angles)
    ]


POSITIONS = [((0.0, 180.0), 0, [2, 4, 6]), ((0.0, 72.0), 0, [5]), ((40.0, 40.0), 3, [1, 2, 3, 4, 5, 6])]


@pytest.mark.parametrize(("angles", "status", "lost"), POSITIONS)
def test_what_two_positions_cannot_separate_has_no_number(
    angles: tuple[float, float], status: int, lost: list[int], tmp_path: Path
) -> None:
    found_status, found = json_of("separate", *at(tmp_path, *angles))
    none = [one["n"] for one in found["orders"][:6] if one["part_cos_mm"] is None]
    assert (found_status, none) == (status, lost)
    assert [one["spindle_sin_mm"] for one in found["orders"] if one["n"] in lost] == [None] * len(lost)


@pytest.mark.parametrize(("angles", "status", "lost"), POSITIONS)
def test_and_the_words_say_so_and_where_to_put_the_part_next(
    angles: tuple[float, float], status: int, lost: list[int], tmp_path: Path
) -> None:
    _, out = printed("separate", *at(tmp_path, *angles))
    assert "annot be separated with these positions" in out
    assert f"{best_next_position_deg(angles)} deg on the arbor" in out


@pytest.mark.parametrize(("angles", "status", "lost"), POSITIONS)
def test_the_best_next_position_is_right_by_brute_force(
    angles: tuple[float, float], status: int, lost: list[int], tmp_path: Path
) -> None:
    assert json_of("separate", *at(tmp_path, *angles))[1]["best_next_deg"] == best_next_position_deg(angles)


def test_with_that_position_added_every_order_is_told(tmp_path: Path) -> None:
    angles = (0.0, 180.0)
    found = json_of("separate", *at(tmp_path, *angles, best_next_position_deg(angles)))[1]
    assert [one["n"] for one in found["orders"][:6] if not one["separable"]] == []


def test_an_odd_pattern_of_holes_is_a_list_of_angles() -> None:
    hub, disc = "practice:bicycle-disc/hub", "practice:bicycle-disc/disc"
    found = json_of("best-hole", hub, disc, "--holes", "0,100,220")[1]
    assert [one["deg"] for one in found["positions"]] == [0.0, 100.0, 220.0]


@pytest.mark.parametrize(
    "arguments",
    [
        ("plan-cut", "--bearings", FOUND, "--mounting", AFTER),
        ("best-hole", AFTER, FOUND, "--holes", "6"),
        ("adjust", AFTER, "--screws", "0,120", "--screw-radius", "80 mm"),
        ("backlash", "0:0.13 90:0.17 180:0.16 270:0.12 mm", "--sweep", AFTER),
    ],
    ids=lambda arguments: arguments[0],
)
def test_the_sweep_on_the_cutting_mount_is_labelled_wherever_it_appears(arguments: tuple[str, ...]) -> None:
    assert "on the cutting mount: not evidence of the result" in printed(*arguments)[1]


# A mounting in other terms: marks matched, the far end mirrored, the radius scaled.


@pytest.mark.parametrize(
    ("tir", "high_deg", "terms"),
    [
        (0.05, 40.0, {"mark_on": "part"}),
        (0.05, 130.0, {"mark_on": "arbor", "index_angle": "90"}),
        (0.05, -40.0, {"declared_end": "far"}),
        (0.04, 40.0, {"track_radius": "80 mm"}),
    ],
)
def test_the_same_face_in_other_terms_has_no_mount_vector(
    tir: float, high_deg: float, terms: dict[str, str], tmp_path: Path
) -> None:
    own = write_csv(tmp_path / "own.csv", 0.05, 40.0, track_radius="100 mm")
    lathe = write_csv(tmp_path / "lathe.csv", tir, high_deg, **{"track_radius": "100 mm"} | terms)
    found = json_of("plan-cut", "--bearings", own, "--mounting", lathe, "--limit", "0.02 mm")[1]
    # Noise of 0.0004 mm over 360 readings, twice: 0.00009 mm of TIR.
    assert found["mountings"][0]["mount_first_mm"] < 0.0004


def vector_csv(path: Path, z: complex, **setup: str) -> str:
    """Write a sweep of a wobble given as TIR and high side in one complex number."""
    return write_csv(path, abs(z), math.degrees(cmath.phase(z)), **setup)


def test_two_tracks_tell_axial_motion_that_one_would_scale_away(tmp_path: Path) -> None:
    # A true mounting on a lathe that walks 0.010 mm along its axis once a turn: TIR at 100, 80 and 60 mm.
    plane, shift = cmath.rect(0.05, math.radians(40)), cmath.rect(0.010, math.radians(200))
    own = vector_csv(tmp_path / "own.csv", plane, track_radius="100 mm")
    outer, inner = (
        vector_csv(tmp_path / f"{radius}.csv", plane * radius / 100 + shift, track_radius=f"{radius} mm")
        for radius in (80, 60)
    )
    command_line = ("plan-cut", "--bearings", own, "--mounting", outer, "--limit", "0.02 mm")
    one, two = (json_of(*command_line, *more)[1]["mountings"][0] for more in ((), ("--track", inner)))
    # From 80 and 60 mm to 100 mm noise grows threefold: 0.0002 mm.
    assert two["predicted_first_mm"] == pytest.approx(0.010, abs=0.0008)
    assert one["predicted_first_mm"] == pytest.approx(0.0125, abs=0.0008)  # 100 / 80 of it
    assert (one["orders_predicted"], two["orders_predicted"]) == (1, 1)


# Before and after are the same measurement, or no claim is made.


@pytest.mark.parametrize(
    ("key", "before", "after", "effect"),
    [
        ("limit_quantity", "tir", "tir_first", "blocks"),
        ("surface", "face", "outside", "blocks"),
        ("part", "one", "another", "blocks"),
        ("preload", "shims", "none", "blocks"),
        ("stage", "as found", "after cut", "blocks"),
        ("track_radius", "80 mm", "100 mm", "rescaled"),
        ("declared_end", "gauge", "far", "rescaled"),
        ("gauge_angle", "0", "15", "rescaled"),
        ("torque", "40 Nm", "60 Nm", "noted"),
        ("gauge_id", "a", "b", "noted"),
    ],
)
def test_what_differs_blocks_rescales_or_is_noted(
    key: str, before: str, after: str, effect: str, tmp_path: Path
) -> None:
    files = [
        write_csv(tmp_path / f"{k}.csv", 0.05, **{key: value}) for k, value in enumerate((before, after))
    ]
    status, found = json_of("compare", *files)
    effects = {one["effect"] for one in found["differences"]}
    assert (status, effect in effects) == (3 if effect == "blocks" else 0, True)
    assert (found["change_first_mm"] is None) == (effect == "blocks")


def test_another_filter_is_brought_to_the_same_terms(tmp_path: Path) -> None:
    full = write_csv(tmp_path / "full.csv", 0.05)
    few = tmp_path / "few.csv"
    rows = Path(full).read_text(encoding="utf-8").splitlines()
    few.write_text("\n".join([rows[0], *rows[1::4]]) + "\n", encoding="utf-8")
    found = json_of("compare", full, str(few))[1]
    assert [(one["field"], one["effect"]) for one in found["differences"]] == [("highest_order", "rescaled")]


def test_a_face_at_another_radius_is_scaled_as_a_plane(tmp_path: Path) -> None:
    near = write_csv(tmp_path / "near.csv", 0.04, track_radius="80 mm")
    far = write_csv(tmp_path / "far.csv", 0.05, track_radius="100 mm")
    found = json_of("compare", near, far)[1]
    # One and the same plane: what is left is noise, some 0.00004 mm a component of 360 readings.
    assert found["change_first_mm"] < 0.0003


def test_seen_from_the_far_end_the_same_face_is_the_same(tmp_path: Path) -> None:
    near = write_csv(tmp_path / "near.csv", 0.05, 40.0)
    far = write_csv(tmp_path / "far.csv", 0.05, -40.0, declared_end="far")
    assert json_of("compare", near, far)[1]["change_first_mm"] < 0.0003


# Form.


def test_the_circles_of_a_round_wheel_are_small_and_in_order() -> None:
    form = json_of("sweep", "practice:telescope-worm/as-left", "--form")[1]["form"]
    assert form["flatness_mm"] is None
    assert form["mzc_mm"] <= min(form["lsc_mm"], form["mic_mm"], form["mcc_mm"]) + 1e-9
    assert form["lsc_mm"] < 0.002  # two steps of its gauge: there is no form in it


def test_total_runout_over_two_tracks_is_that_of_both_on_one_zero() -> None:
    outer, inner = (scenario(name[9:]).plant.extremes for name in (MOUNT, INNER))
    drop = wind_pump_shop.INNER_HEIGHT_MM
    expected = max(outer.high_mm, inner.high_mm + drop) - min(outer.low_mm, inner.low_mm + drop)
    forms = [one["form"] for one in json_of("sweep", MOUNT, INNER, "--form")[1]["files"]]
    assert [form["total_mm"] for form in forms] == pytest.approx([expected] * 2, abs=0.001)


def test_a_wobble_is_no_want_of_flatness_but_a_saddle_is() -> None:
    (form,) = (json_of("sweep", MOUNT, "--form")[1]["form"],)
    # Order 2 of 0.018 mm TIR is a saddle; the plane of order 1 is tilted away.
    assert form["flatness_mm"] == pytest.approx(0.018, abs=0.0007)


def test_the_filter_halves_what_stands_at_its_cut_off() -> None:
    plain, filtered = (
        json_of("sweep", "practice:test-ball/tip-12", "--form", *more)[1]["form"]["lsc_mm"]
        for more in ((), ("--filter", "15"))
    )
    # Orders 2 and 3 pass by 2^-(n / 15)^2: 0.988 and 0.973.
    assert filtered == pytest.approx(0.98 * plain, rel=0.02)


def test_synchronous_and_asynchronous_motion_are_told_apart() -> None:
    pooled = json_of("sweep", "practice:turntable/two-tips")[1]["pooled"]
    # 0.004 mm that does not repeat swings 0.008 mm; noise alone 0.0043 mm at four turns.
    assert 0.006 < pooled["asynchronous_mm"] < 0.014
    assert pooled["synchronous_mm"] == pytest.approx(0.1356, abs=0.005)


# Words.


def test_a_refused_sweep_is_named_with_the_one_thing_to_do() -> None:
    lost = str(RECORDINGS / "wind-pump-as-found-lost-counts" / "recording.mcap")
    status, out = printed("plan-cut", "--bearings", lost, "--mounting", MOUNT)
    lines = out.splitlines()
    assert (status, lines[0].endswith("not decided.")) == (3, True)
    assert (lines[1].startswith("Do not rely on it"), lines[2].startswith("Do this: look at encoder")) == (
        True,
        True,
    )


def test_a_limit_too_near_is_not_decided_and_says_what_would_help() -> None:
    status, out = printed("plan-cut", "--bearings", FOUND, "--mounting", MOUNT, "--limit", "0.0308 mm")
    assert (status, "Do this: sweep both again with more turns" in out) == (3, True)


def test_to_mount_it_again_says_how() -> None:
    status, out = printed("plan-cut", "--bearings", FOUND, "--mounting", "practice:wind-pump/mount-1")
    assert (status, "clean cone, seat and bore" in out) == (1, True)


def test_a_refused_check_is_no_difference_of_set_up() -> None:
    restarted = str(RECORDINGS / "wind-pump-as-found-restart" / "recording.mcap")
    status, out = printed("compare", FOUND, restarted)
    assert (status, out.startswith("Not comparable: a check of one of the sweeps is refused")) == (3, True)


@pytest.mark.parametrize(
    ("limit", "status", "words"),
    [
        ("0.3 mm", 0, "within the entered"),
        ("0.2 mm", 1, "over the entered"),
        ("0.211 mm", 3, "not decided"),
    ],
)
def test_end_float_against_its_own_limit(limit: str, status: int, words: str) -> None:
    found, out = printed(
        "endfloat", "practice:wind-pump/end-float", "--limit", limit, "--quantity", "end_float"
    )
    assert (found, words in out.splitlines()[0]) == (status, True)


@pytest.mark.parametrize(("limit", "status"), [((), 0), (("--limit", "0.05 mm"), 3)])
def test_an_end_float_that_was_not_seen_is_not_measured(
    limit: tuple[str, ...], status: int, tmp_path: Path
) -> None:
    standing = tmp_path / "standing.csv"
    flicker = (f"{k / 50:.2f},0,{1.25 + 0.001 * (k % 2):.3f}" for k in range(400))
    standing.write_text("t_s,angle_deg,reading_mm\n" + "\n".join(flicker) + "\n")
    found, out = printed("endfloat", str(standing), *limit)
    assert (found, out.splitlines()[0]) == (status, "End float not measured: 0 of 3 pushes and pulls seen.")
    found, said = json_of("endfloat", str(standing), *limit)
    assert found == status
    assert [said[key] for key in ("float_mm", "u_float_mm", "share_of_limit", "state")] == [None] * 4
