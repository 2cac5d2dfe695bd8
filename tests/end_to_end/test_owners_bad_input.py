"""What the commands for several sweeps refuse: the status, one line, nothing on standard output."""

import contextlib
import io
from pathlib import Path

import pytest
from written_sweeps import write_csv

from logger.__main__ import run as fullturn

FOUND, LEFT = "practice:wind-pump/as-found", "practice:wind-pump/as-left"
MOUNT, HALF = "practice:wind-pump/mount-2", "practice:wind-pump/half-turn-before"
ARBOR, INNER = "practice:wind-pump-shop/arbor", "practice:wind-pump-shop/mount-2-inner"
NEAR, FAR = "practice:long-roller/near", "practice:long-roller/far"
TWO_TIPS, END = "practice:turntable/two-tips", "practice:wind-pump/end-float"
PLAN = ["plan-cut", "--bearings", FOUND, "--mounting", MOUNT]
CASES = [
    (["separate", MOUNT], 2, "two or more"),
    (["separate", FOUND, LEFT], 2, "index"),
    (["separate", f"{MOUNT}@10", HALF], 2, "agree to 0.5 deg"),
    (["separate", f"{MOUNT}@", HALF], 2, "without degrees"),
    (["separate", MOUNT, "practice:potters-wheel/half-turn"], 2, "different parts"),
    (["plan-cut", "--bearings", FOUND], 2, "--mounting"),
    (
        ["plan-cut", "--bearings", FOUND, "--mounting", "practice:potters-wheel/as-found"],
        2,
        "different parts",
    ),
    (["plan-cut", "--bearings", FOUND, "--mounting", MOUNT, "--limit", "0.05"], 2, "no unit"),
    (
        ["plan-cut", "--bearings", FOUND, "--mounting", MOUNT, "--quantity", "form", "--limit", "1 mm"],
        2,
        "form",
    ),
    (["plan-cut", "--bearings", FOUND, "--mounting", MOUNT, "--minimum", "9 mm"], 2, "--stock"),
    (["best-hole", FOUND, "--holes", "6"], 2, "FLANGE"),
    (["best-hole", FOUND, LEFT, "--holes", "1"], 2, "nothing to choose"),
    (["best-hole", "--assembled", f"{FOUND}@0", "--holes", "6"], 2, "two or more"),
    (["adjust", FOUND, "--screws", "0,120,240"], 2, "screw-radius"),
    (["adjust", "practice:telescope-worm/as-found", "--screws", "a,b"], 2, "is not a number"),
    (["backlash", "0:0.1 90:0.1 180:0.1 270:0.1 mm"], 2, "all 4 readings"),
    (["backlash", "0:0.1 90:0.2"], 2, "unit"),
    (["thickness"], 2, "--typed"),
    (["torque", "1", "--steps", "20 Nm"], 2, "expected 2"),
    (["sweep", FOUND, "--filter", "15"], 2, "--form"),
    (["sweep", FOUND, "--sag", LEFT], 2, "turning=indicator"),
    (["compare", FOUND, "nothing.mcap"], 2, "nothing.mcap"),
    (["separate", MOUNT, HALF, "--set", "angle_source=steady"], 2, "no common mark"),
    (["separate", MOUNT, INNER], 2, "different radii"),
    (["separate", MOUNT, "--arbor", MOUNT], 2, "begins at the part's mark"),
    (["separate", HALF, "--cut-at", "half"], 2, "--cut-at 'half' is not a number"),
    (["separate", HALF, "--cut-at", "0", "--arbor", ARBOR], 2, "one or the other"),
    (["separate", f"{FOUND}@0", "practice:long-roller/near@90"], 2, "different parts"),
    (["sweep", FOUND, "--opposed", "1"], 2, "channel 1 was asked for"),
    (["sweep", TWO_TIPS, "--tips-apart", "180"], 2, "goes with --opposed"),
    (["sweep", TWO_TIPS, "--opposed", "1", "--tips-apart", "10"], 2, "set them opposite"),
    (["sweep", NEAR, "--opposed", "0"], 2, "one column of readings is never two tips"),
    (["sweep", NEAR, NEAR, "--plane", "3 mm"], 2, "another plane"),
    (["sweep", NEAR, "--plane", "3 mm"], 2, "give two"),
    (["sweep", FOUND, LEFT, "--plane", "3 mm"], 2, "a face has no axis"),
    (["sweep", NEAR, FAR, "--plane", "3"], 2, "no unit"),
    (["plan-cut", "--bearings", NEAR, "--mounting", FAR, "--limit", "0.05 mm"], 2, "second --bearings"),
    ([*PLAN, "--comes-off"], 2, "two or more --mounting"),
    ([*PLAN, "--bearings", LEFT], 2, "a face has one plane"),
    ([*PLAN, "--track", "practice:wind-pump/mount-1"], 2, "another radius"),
    ([*PLAN, "--track", HALF], 2, "one mounting"),
    ([*PLAN, "--limit", "0.05 mm", "--quantity", "eccentricity"], 2, "a face has no eccentricity"),
    ([*PLAN, "--quantity", "tir_first"], 2, "a limit is of one quantity"),
    (["thickness", FOUND], 2, "channel 1 was asked for"),
    (["thickness", "--typed", "0:9.9 90:9.8 180:9.7 mm", "--limit", "1 mm", "--quantity", "tir"], 2,
     "thickness alone"),
    (["endfloat", FOUND], 2, "without turning"),
    (["endfloat", END, "--limit", "0.05 mm", "--quantity", "thickness"], 2, "says nothing of end float"),
    (["backlash", "0:0.1 90:0.2 180:0.1 mm", "--factor", "0"], 2, "not above zero"),
    (["adjust", FOUND, "--screws", "90", "--screw-radius", "80 mm"], 2, "two or more different"),
]  # fmt: skip


@pytest.mark.parametrize(("arguments", "status", "words"), CASES)
def test_it_is_refused_in_one_line(arguments: list[str], status: int, words: str) -> None:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        found = fullturn(arguments)
    assert (found, out.getvalue(), err.getvalue().count("\n")) == (status, "", 1)
    assert words in err.getvalue()


def test_a_part_without_its_radius_is_refused_where_scaling_needs_it() -> None:
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        found = fullturn(
            ["plan-cut", "--bearings", FOUND, "--mounting", MOUNT, "--set", "limit_radius=100 mm",
             "--set", "track_radius="]
        )  # fmt: skip
    assert (found, "track_radius" in err.getvalue()) == (2, True)


@pytest.mark.parametrize("command", ["plan-cut", "best-hole", "separate"])
def test_a_face_with_one_radius_missing_is_refused_where_scaling_needs_it(
    command: str, tmp_path: Path
) -> None:
    bare = write_csv(tmp_path / "bare.csv", 0.05, mark_on="arbor", index_angle="90")
    known = write_csv(tmp_path / "known.csv", 0.05, track_radius="80 mm", index_angle="0")
    arguments = {
        "plan-cut": ["plan-cut", "--bearings", bare, "--mounting", known, "--limit", "0.1 mm"],
        "best-hole": ["best-hole", bare, known, "--holes", "6"],
        "separate": ["separate", known, "--arbor", bare],
    }[command]
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        found = fullturn(arguments)
    assert (found, out.getvalue(), "track_radius" in err.getvalue()) == (2, "", True)


@pytest.mark.parametrize(
    ("given", "status"), [({"index_angle": "180", "mark_on": "arbor"}, 0), ({"mark_on": "arbor"}, 2), ({}, 2)]
)
def test_a_lathe_sweep_has_to_say_where_the_part_sat(
    given: dict[str, str], status: int, tmp_path: Path
) -> None:
    first = write_csv(tmp_path / "a.csv", 0.05, index_angle="0")
    second = write_csv(tmp_path / "b.csv", 0.05, **given)
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        assert fullturn(["separate", first, second]) == status
    assert status == 0 or "touch the arbor's mark too" in err.getvalue()


def test_a_steady_spin_has_no_before_and_after() -> None:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        status = fullturn(["compare", FOUND, LEFT, "--set", "angle_source=steady"])
    assert (status, out.getvalue().startswith("Not comparable: mark")) == (3, True)


def test_sweeps_at_one_angle_cannot_be_separated() -> None:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        status = fullturn(["separate", MOUNT, MOUNT])
    assert (status, "cannot be separated" in out.getvalue()) == (3, True)


def test_different_parts_are_not_comparable() -> None:
    with contextlib.redirect_stdout(io.StringIO()):
        assert fullturn(["compare", FOUND, "practice:potters-wheel/as-left"]) == 3
