"""Every mistake of typing in one table: what is typed, how the command ends, and what it says.

A mistake is refused where it is typed, in one line on standard error, with nothing on standard output. The
same in a recording or a CSV file is kept, said, and not used.
"""

import shlex
from pathlib import Path

import pytest
from running import inside, one_line
from written_sweeps import write_csv

SWEEP = "sweep practice:wind-pump/as-found"
RECORD = "record practice:wind-pump/as-found --turns 2"
PLAN = "plan-cut --bearings practice:wind-pump/as-found --mounting practice:wind-pump/mount-2"
HOLES = "best-hole practice:bicycle-disc/hub practice:bicycle-disc/disc"
SCREWS = "adjust practice:telescope-worm/as-found"
TYPED = "sweep --typed"

MISTAKES = [
    # angles
    (f"{SWEEP} --set index_angle=-30", 2, "index_angle '-30' is not from 0 to 360 degrees: write the same"),
    (f"{SWEEP} --set index_angle=361", 2, "write the same place as 1"),
    (f"{RECORD} --set index_angle=720", 2, "is not from 0 to 360 degrees"),
    (f"{SWEEP} --set holes=375:8", 2, "holes: angle '375' is not from 0 to 360 degrees"),
    (f"{SWEEP} --set screws=0,120,400", 2, "screws: angle '400' is not from 0 to 360 degrees"),
    (f"{SWEEP} --leave-out 350:370=keyway", 2, "--leave-out angle '370' is not from 0 to 360 degrees"),
    (f"{SCREWS} --screws 0,120,-120", 2, "--screws: angle '-120' is not from 0 to 360 degrees"),
    (f"{HOLES} --holes 0,60,500", 2, "--holes: angle '500' is not from 0 to 360 degrees"),
    ("separate practice:wind-pump/mount-2@0 practice:wind-pump/half-turn-before@540", 2, "write the same"),
    ("separate practice:wind-pump/half-turn-after --cut-at -5", 2, "--cut-at '-5' is not from 0 to 360"),
    ("sweep practice:turntable/two-tips --opposed 1 --tips-apart 540", 2, "--tips-apart '540' is not from 0"),
    (f"{TYPED} '0:0 90:3 450:2 thou'", 2, "typed angle '450' is not from 0 to 360 degrees"),
    (f"{TYPED} '0:0 -90:3 180:2 thou'", 2, "write the same place as 270"),
    (f"{TYPED} '12:0 3:3 6:2 9:1 thou'", 2, "look like hours of a clock"),
    # clock places
    (f"{SWEEP} --set tip_clock=13", 2, "tip_clock '13' is not a clock place from 1 to 12"),
    (f"{SWEEP} --set tool_clock=0", 2, "tool_clock '0' is not a clock place from 1 to 12"),
    (f"{SWEEP} --set crayon_at=noon", 2, "crayon_at 'noon' is not a clock place from 1 to 12"),
    # the gauge
    (f"{SWEEP} --set gauge_type=lever --set gauge_angle=75", 2, "gauge_angle '75' is over 60 deg"),
    (f"{SWEEP} --set gauge_type=lever --set gauge_angle=-1", 2, "gauge_angle '-1' is below 0 (it is 0 to 60)"),
    (f"{RECORD} --set gauge_angle=steep", 2, "gauge_angle 'steep' is not a number: write one like"),
    (f"{SWEEP} --set gauge_due=nonsense", 2, "gauge_due 'nonsense' is no date: write it like 2026-03-31"),
    (f"{RECORD} --set gauge_due=31.03.2026", 2, "is no date: write it like 2026-03-31"),
    (f"{SWEEP} --set gauge_due=2026-02-30", 2, "is no date: write it like 2026-03-31"),
    (f"{SWEEP} --set gauge_table='0:0 mm'", 2, "at least two different readings with their errors are needed"),
    (f"{SWEEP} --set tip_radius='-1 mm'", 2, "tip_radius '-1 mm' is not above zero"),
    (f"{SWEEP} --set u_counts_per_turn=-1", 2, "u_counts_per_turn '-1' is below 0"),
    # how many
    (f"{SWEEP} --set holes=0", 2, "the number of holes must be from 1 to 360"),
    (f"{SWEEP} --set holes=361", 2, "the number of holes must be from 1 to 360"),
    (f"{SWEEP} --set holes=-6", 2, "the number of holes must be from 1 to 360"),
    (f"{SWEEP} --set places=2", 2, "places '2' is not a whole number from 3 to 360"),
    (f"{HOLES} --holes 0", 2, "0 hole(s) leave nothing to choose: give the number of holes, 2 or more"),
    (f"{HOLES} --holes 5000", 2, "expected 2 to 360; give how many there are"),
    (f"{HOLES} --holes 2.5", 2, "is no whole number: give how many holes there are"),
    ("torque 1 --steps '20 Nm'", 2, "1 bolts: expected 2 to 120; give how many there are"),
    ("torque -6 --steps '20 Nm'", 2, "No such option '-6'"),
    ("torque six --steps '20 Nm'", 2, "'six' is not a valid integer: write a whole number; `fullturn torque --help`"),
    # torque and thickness
    ("torque 6 --steps '60,40,20 Nm'", 2, "is not above the 60 before it: steps rise"),
    ("torque 6 --steps '20,20,60 Nm'", 2, "is not above the 20 before it: steps rise"),
    ("torque 6 --steps='-20,40 Nm'", 2, "is not above zero"),
    ("torque 6 --steps '0,40 Nm'", 2, "is not above zero"),
    ("torque 6 --steps 'a lot'", 2, "is not a number and a unit: write the steps like 20,40,60 Nm"),
    ("torque 6 --steps '20 Nm,40 lbft'", 2, "steps in different units"),
    (f"{SWEEP} --set torque='-60 Nm'", 2, "torque '-60 Nm' is below zero: write it like 60 Nm"),
    ("thickness --typed '0:9.98 90:-9.97 180:9.95 mm'", 2, "is not above zero: type what the micrometer read"),
    ("thickness --typed '0:0 90:9.97 180:9.95 mm'", 2, "a thickness of 0 mm is not above zero"),
    ("backlash '0:0.13 90:-0.1 180:0.1 mm'", 2, "is below zero: type the play that is there"),
    # the limit
    (f"{SWEEP} --limit ''", 2, "limit is empty: write it with its unit"),
    (f"{SWEEP} --limit ' '", 2, "limit is empty: write it with its unit"),
    (f"{SWEEP} --set limit=", 2, "limit is empty: write it with its unit"),
    (f"{RECORD} --limit ''", 2, "limit is empty: write it with its unit"),
    (f"{PLAN} --limit ''", 2, "--limit '' is not one number and one unit: write it like 0.05 mm"),
    (f"{SWEEP} --limit '0 mm'", 2, "is not above zero"),
    (f"{SWEEP} --limit '1e308 mm'", 2, "is longer than a kilometre: correct the number or its unit"),
    (f"{SWEEP} --limit 0.05", 2, "has no unit: write it with one"),
    # keys and choices
    (f"{SWEEP} --set surfce=bore", 2, "no such set-up key; did you mean surface?"),
    (f"{SWEEP} --set colour=red", 2, "no such set-up key"),
    (f"{SWEEP} --set surface=top", 2, "surface 'top' is not one of face, outside, bore"),
    (f"{SWEEP} --set stage=done", 2, "stage 'done' is not one of"),
    (f"{RECORD} --set channel=16", 2, "channel '16' is not a number from 0 to 15"),
    # the cut
    (f"{PLAN} --stock -1mm", 2, "stock -1 mm"),
    (f"{PLAN} --stock '1 mm' --minimum '-1 mm'", 2, "minimum -1 mm"),
    (f"{PLAN} --allowance '-0.1 mm'", 2, "allowance -0.1 mm"),
    (f"{PLAN} --pass-depth '0 mm'", 2, "pass depth 0 mm is not above zero"),
    # what the parser of the command line finds by itself
    ("adjust", 2, "Missing argument 'FILE': `fullturn adjust --help` shows how it is typed"),
    (SCREWS, 2, "Missing option '--screws': `fullturn adjust --help` shows how it is typed"),
    (f"{SWEEP} --qqqq", 2, "No such option '--qqqq': `fullturn sweep --help` lists them"),
    (f"{SWEEP} --stage", 2, "No such option '--stage', did you mean --stages? `fullturn sweep --help` lists"),
    (f"{SWEEP} --limit", 2, "Option '--limit' requires an argument: write it after it"),
    (f"{SWEEP} --units furlong", 2, "'furlong' is not one of 'mm', 'um', 'in', 'thou': take one of these"),
    (f"{SWEEP} --channel 16", 2, "16 is not in the range 0<=x<=15: take one from it"),
    (f"{SWEEP} --json=yes", 2, "Option '--json' does not take a value: leave it out"),
    ("torque 6 --steps '20 Nm' --thread wide", 2, "'wide' is not one of 'right', 'left': take one of these"),
    ("torque 6 7 --steps '20 Nm'", 2, "Got unexpected extra argument (7): leave it out, or put what has"),
    ("record", 2, "Missing argument 'PORT': `fullturn record --help` shows how it is typed"),
    ("swep a.mcap", 2, "no command 'swep', did you mean sweep? `fullturn --help` lists them"),
    ("--smooth", 2, "No such option '--smooth': `fullturn --help` lists them"),
]  # fmt: skip


@pytest.mark.parametrize(("line", "status", "words"), MISTAKES, ids=[line for line, _, _ in MISTAKES])
def test_it_is_refused_in_one_line_that_says_what_to_do(
    line: str, status: int, words: str, home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = inside(capsys, *shlex.split(line))
    assert (ran.status, ran.out) == (status, "")
    assert words in one_line(ran)
    assert not list(home.rglob("*.mcap"))


KEPT = {
    "index_angle": ("-30", "index_angle '-30' is not from 0 to 360 degrees"),
    "holes": ("375:8", "holes: angle '375' is not from 0 to 360 degrees"),
    "gauge_angle": ("75", "gauge_angle '75' is over 60 deg"),
    "gauge_due": ("nonsense", "gauge_due 'nonsense' is no date"),
    "gauge_table": ("0:0 mm", "at least two different readings"),
    "tip_clock": ("13", "tip_clock '13' is not a clock place"),
    "surface": ("top", "surface 'top' is not one of"),
    "limit": ("0 mm", "is not above zero"),
    "limit_quantity": ("wobble", "limit_quantity 'wobble' is not one of"),
    "limit_radius": ("50 mm", "set track_radius"),
}


@pytest.mark.parametrize("key", KEPT)
def test_the_same_in_a_file_is_kept_and_said_and_not_used(
    key: str, home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    written, words = KEPT[key]
    file = write_csv(home / "kept.csv", 0.05, **{"limit": "0.5 mm", key: written})
    ran = inside(capsys, "sweep", file, "--json")
    assert ran.status == 0
    assert ran.result["setup"][key] == written
    assert any(words in remark and "not used" in remark for remark in ran.result["remarks"])
    assert (ran.result["decision"] is None) == key.startswith("limit")
    assert words in inside(capsys, "sweep", file).out


def test_a_bad_value_of_a_recording_gives_way_to_one_typed(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = write_csv(home / "kept.csv", 0.05, gauge_due="nonsense")
    ran = inside(capsys, "sweep", file, "--set", "gauge_due=2099-01-01", "--json")
    assert (ran.status, ran.result["remarks"]) == (0, [])
