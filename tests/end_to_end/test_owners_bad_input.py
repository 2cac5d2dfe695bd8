"""What the commands for several sweeps refuse: the status, one line, nothing on standard output."""

import contextlib
import io

import pytest

from logger.__main__ import run as fullturn

FOUND, LEFT = "practice:wind-pump/as-found", "practice:wind-pump/as-left"
MOUNT, HALF = "practice:wind-pump/mount-2", "practice:wind-pump/half-turn-before"
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
]


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


def test_sweeps_at_one_angle_cannot_be_separated() -> None:
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        status = fullturn(["separate", MOUNT, MOUNT])
    assert (status, "cannot be separated" in out.getvalue()) == (3, True)


def test_different_parts_are_not_comparable() -> None:
    with contextlib.redirect_stdout(io.StringIO()):
        assert fullturn(["compare", FOUND, "practice:potters-wheel/as-left"]) == 3
