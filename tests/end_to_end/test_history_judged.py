"""Recordings analysed again, a check standard against its limits, and what hangs on a gauge, by command."""

import cmath
import math
import shutil
from pathlib import Path

import pytest
from either_store import ask, execute
from made_histories import BASELINE, RING, add_checks, add_sweep, result_of
from places import RECORDINGS
from running import Ran, inside, move_in, one_line

from analysis.store import open_store
from analysis.sweep import NUMERICS_VERSION
from logger.acquisition import GaugeRegister

Capsys = pytest.CaptureFixture[str]
MEAN = sum(BASELINE) / len(BASELINE)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return move_in(tmp_path, monkeypatch)


# --- again -----------------------------------------------------------------------------------------------


@pytest.fixture
def recorded(home: Path, capsys: Capsys) -> Path:
    """A store with one recording, as left, within its limit."""
    file = shutil.copy(RECORDINGS / "wind-pump-as-left" / "recording.mcap", home / "left.mcap")
    assert inside(capsys, "store", "add", str(file)).status == 0
    return home


def editions(home: Path) -> list[tuple[object, ...]]:
    return ask(str(home / "store.db"), "SELECT edition, numerics, state, why FROM analyses ORDER BY edition")


def test_the_same_bytes_and_numbers_give_the_same_result_and_no_edition(
    recorded: Path, capsys: Capsys
) -> None:
    for _ in range(2):
        ran = inside(capsys, "history", "--again", "1", "--json")
        (one,) = ran.result["again"]
        assert (ran.status, one["edition"], one["why"]) == (0, 0, ["same bytes, same numerics, same result"])
        assert one["was_mm"] == one["is_mm"]
    assert len(editions(recorded)) == 1


def test_a_number_that_moved_is_stored_beside_the_earlier_one_with_its_cause(
    recorded: Path, capsys: Capsys
) -> None:
    before = NUMERICS_VERSION - 1
    execute(  # as an earlier version of the program would have left it
        str(recorded / "store.db"),
        f"UPDATE analyses SET numerics = {before}, result = json_set(result, '$.pooled.tir_fit_mm', 0.031)",
    )
    ran = inside(capsys, "history", "--again", "store:1", "--why", "asked by the customer", "--json")
    (one,) = ran.result["again"]
    assert (ran.status, one["edition"], one["was_mm"]) == (0, 1, 0.031)
    assert one["is_mm"] == pytest.approx(0.0307, abs=1e-4)
    assert one["why"][0] == f"numerics {before} to {NUMERICS_VERSION}"
    assert one["why"][-1].startswith("TIR moved by -0.0003")
    _, (edition, numerics, state, why) = editions(recorded)
    assert (edition, numerics, state) == (1, NUMERICS_VERSION, "within")
    assert str(why).startswith(f"asked by the customer; numerics {before} to {NUMERICS_VERSION}; ")
    assert inside(capsys, "history", "--again", "1", "--json").result["again"][0]["edition"] == 1
    assert len(editions(recorded)) == 2


def test_a_decision_that_flipped_ends_with_three_and_stands_first(recorded: Path, capsys: Capsys) -> None:
    file = shutil.copy(RECORDINGS / "wind-pump-as-found" / "recording.mcap", recorded / "found.mcap")
    assert inside(capsys, "store", "add", str(file)).status == 0
    execute(
        str(recorded / "store.db"),
        "UPDATE analyses SET state = 'undecided', result = json_set(result, '$.decision.state', 'undecided') "
        "WHERE state = 'within'",
    )
    ran = inside(capsys, "history", "--again", "--all")
    assert ran.status == 3
    assert "2 recordings analysed again: 1 say something else" in ran.first_line
    assert "not decided to within the entered limit  edition 1: " in ran.out.splitlines()[1]
    assert "same bytes, same numerics, same result" in ran.out.splitlines()[2]


def test_what_cannot_be_read_again_is_named_and_the_rest_is_done(recorded: Path, capsys: Capsys) -> None:
    with open_store(recorded / "store.db") as store:
        add_sweep(store, "gone", "2026-01-02T08:00:00Z", result_of(0.03))
    ran = inside(capsys, "history", "--again", "all", "--json")
    assert ran.status == 2
    (left,) = ran.result["not_analysed"]
    assert (left["recording_id"], len(ran.result["again"])) == ("gone", 1)
    assert "is missing: `fullturn store find FOLDER`" in left["why"]
    assert "is missing" in one_line(inside(capsys, "history", "--again", "rec/gone"))


# --- a check standard ------------------------------------------------------------------------------------


@pytest.fixture
def ring(home: Path, capsys: Capsys) -> Path:
    """A store with limits of the ring, fixed from twelve days in January."""
    with open_store(home / "store.db") as store:
        add_checks(store, BASELINE, 1, gauge_id="DI-07")
    assert inside(capsys, "history", RING, "--fix-baseline").status == 0
    return home


def check(home: Path, *z_mm: complex, **setup: str) -> None:
    with open_store(home / "store.db") as store:
        add_checks(store, z_mm, 2, **setup)


def charted(capsys: Capsys) -> Ran:
    return inside(capsys, "history", RING, "--chart", "--json")


def test_a_check_like_the_baseline_is_in_control(ring: Path, capsys: Capsys) -> None:
    check(ring, BASELINE[3])
    ran = charted(capsys)
    chart = ran.result["chart"]
    assert (ran.status, chart["n0"]) == (0, 12)
    assert complex(chart["mean_cos_mm"], chart["mean_sin_mm"]) == pytest.approx(MEAN)
    s2 = sum(abs(z - MEAN) ** 2 for z in BASELINE) / 22
    assert chart["s_mm"] == pytest.approx(math.sqrt(s2))
    newest = chart["points"][-1]
    assert newest["d2"] == pytest.approx(abs(BASELINE[3] - MEAN) ** 2 / (2 * s2 * (1 + 1 / 12)))
    # F(.99; 2, 22) of printed tables is 5.72 (common practice).
    assert newest["limit"] == pytest.approx(5.72, abs=0.005)
    assert [point["baseline"] for point in chart["points"]] == [True] * 12 + [False]
    text = inside(capsys, "history", RING, "--chart").out
    assert text.splitlines()[0].startswith("2026-02-01T08:12:00Z  check ring  d2 ")
    assert "in control  (baseline 12 days, s 0.000" in text.splitlines()[0]
    assert " turned by " in text


def test_a_high_side_that_turned_is_out_though_the_runout_is_the_same(ring: Path, capsys: Capsys) -> None:
    check(ring, MEAN * complex(math.cos(0.35), math.sin(0.35)))
    ran = charted(capsys)
    assert (ran.status, ran.result["chart"]["points"][-1]["out"]) == (1, True)
    text = inside(capsys, "history", RING, "--chart")
    assert "out of control" in text.first_line
    assert "fullturn history --suspect" in text.out


def test_the_chart_is_drawn_into_a_file_that_was_not_there(ring: Path, capsys: Capsys) -> None:
    check(ring, BASELINE[3])
    for name, begins in (("ring.svg", b"<svg"), ("ring.pdf", b"%PDF")):
        assert inside(capsys, "history", RING, "--chart", "--figure", name).status == 0
        assert (ring / name).read_bytes().startswith(begins)
        refused = inside(capsys, "history", RING, "--chart", "--figure", name)
        assert (refused.status, "never overwritten" in one_line(refused)) == (2, True)
    refused = inside(capsys, "history", RING, "--chart", "--figure", "ring.png")
    assert (refused.status, "ends in .svg or .pdf" in one_line(refused)) == (2, True)


def test_later_checks_do_not_move_the_limits(ring: Path, capsys: Capsys) -> None:
    before = charted(capsys).result["chart"]
    check(ring, *(MEAN + 0.005j for _ in range(8)))
    after = charted(capsys).result["chart"]
    keys = ("n0", "mean_cos_mm", "mean_sin_mm", "s_mm")
    assert [before[key] for key in keys] == [after[key] for key in keys]
    assert [point["out"] for point in after["points"]] == [False] * 12 + [True] * 8


def turns_of_baseline(k: int) -> list[complex]:
    """Return three turns about the k-th day's vector, 0.0002 mm to three sides."""
    return [BASELINE[k] + 0.0002 * cmath.exp(2j * math.pi * (k / 7 + third / 3)) for third in range(3)]


def test_repeats_within_a_check_are_held_against_those_of_the_baseline(home: Path, capsys: Capsys) -> None:
    with open_store(home / "store.db") as store:
        add_checks(store, BASELINE, 1, turns=[turns_of_baseline(k) for k in range(12)])
    assert inside(capsys, "history", RING, "--fix-baseline").status == 0
    wide = [MEAN + off for off in (0.0009, -0.0009, 0.0006j)]
    with open_store(home / "store.db") as store:
        add_checks(store, [MEAN, MEAN, MEAN], 2, turns=[turns_of_baseline(0), wide, [MEAN]])
    ran = charted(capsys)
    chart, points = ran.result["chart"], ran.result["chart"]["points"]
    # Three turns at a radius r about their mean: s of one component is r sqrt(3 / 4), of 4 degrees of freedom each.
    assert (chart["repeats_dof"], chart["repeats_s_mm"]) == (48, pytest.approx(0.0002 * math.sqrt(0.75)))
    # F(.95; 4, 48) is 2.565 in printed tables (common practice).
    assert (points[-3]["repeats_limit_mm"] / chart["repeats_s_mm"]) ** 2 == pytest.approx(2.565, abs=5e-3)
    assert [one["repeats_wide"] for one in points[-3:]] == [False, True, False]
    assert (points[-1]["repeats_s_mm"], points[-1]["repeats_limit_mm"]) == (None, None)
    # It decides nothing: size and side are as they were.
    assert ran.status == 0
    text = inside(capsys, "history", RING, "--chart").out
    (said,) = [line for line in text.splitlines() if "WIDE" in line]
    # By hand: sqrt((2 x (0.0009^2 + 0.0002^2) + 0.0004^2) / 4) mm.
    assert said.strip().startswith("2026-02-02T08:12:00Z  s 0.0007 mm of 0.0003 mm")


def test_a_check_without_a_mark_tells_no_side_and_is_left_out(ring: Path, capsys: Capsys) -> None:
    with open_store(ring / "store.db") as store:
        result = result_of(0.03, 1 + 1j, limit_mm=None)
        add_sweep(
            store, "unmarked", "2026-03-01T08:00:00Z", result, part=RING, stage="check standard", mark=None
        )
    ran = charted(capsys)
    assert ran.result["chart"]["without_vector"] == ["unmarked"]
    assert ran.status == 3
    assert "no check of 'check ring' since" in one_line(inside(capsys, "history", RING, "--chart"))


def test_fewer_than_ten_days_are_too_little(home: Path, capsys: Capsys) -> None:
    with open_store(home / "store.db") as store:
        add_checks(store, BASELINE[:9], 1)
    ran = inside(capsys, "history", RING, "--fix-baseline")
    assert (ran.status, ran.out) == (3, "")
    assert "9 checks on 9 days: limits want 10 days at least" in ran.err
    ran = inside(capsys, "history", RING, "--chart")
    assert (ran.status, ran.out) == (3, "")
    assert "no limits are fixed for 'check ring'" in ran.err


@pytest.mark.parametrize("is_there", [False, True])
def test_without_any_check_or_store_there_is_too_little(home: Path, capsys: Capsys, is_there: bool) -> None:
    if is_there:
        with open_store(home / "store.db"):
            pass
    for form in ([], ["--json"]):
        ran = inside(capsys, "history", RING, "--chart", *form)
        assert (ran.status, ran.out) == (3, "")
        assert "no recording of 'check ring' at check standard" in ran.err
        assert '--set stage="check standard"' in ran.err
    assert (home / "store.db").exists() is is_there


# --- what hangs on a gauge -------------------------------------------------------------------------------


def measured(home: Path, name: str, started: str, gauge_id: str = "DI-07") -> None:
    """Put a recording into the store whose set-up has what the register says of its gauge, as `record` writes it."""
    with open_store(home / "store.db") as store:
        setup = GaugeRegister(store.register.gauges()).applied({"gauge_id": gauge_id})
        add_sweep(store, name, started, result_of(0.03), **setup)


def suspected(capsys: Capsys, *words: str) -> dict[str, list[str]]:
    found = inside(capsys, "history", "--suspect", *words, "--json")
    assert found.status == 0
    return {one["recording_id"]: one["why"] for one in found.result["suspect"]}


def test_what_was_measured_after_the_due_date_hangs_on_it(home: Path, capsys: Capsys) -> None:
    inside(capsys, "gauge", "add", "DI-07", "--due", "2026-02-28", "--error", "0.003 mm")
    measured(home, "on-time", "2026-02-28T23:00:00Z")
    measured(home, "too-late", "2026-03-01T08:00:00Z")
    measured(home, "another", "2026-03-01T08:00:00Z", "DI-08")
    assert suspected(capsys) == {"too-late": ["measured after its certificate was due (2026-02-28)"]}
    assert suspected(capsys, "--gauge", "DI-08") == {}
    assert inside(capsys, "history", "--suspect").first_line.startswith("1 of 3 recordings in ")


@pytest.mark.parametrize(("found", "means", "suspect"), [("0.006 mm", "limits", True), ("0.003 mm", "limits", False),
                                                         ("0.003 mm", "U95", False), ("0.003 mm", "u", True)])  # fmt: skip
def test_what_was_measured_before_a_calibration_that_found_more_hangs_on_it(
    home: Path, capsys: Capsys, found: str, means: str, suspect: bool
) -> None:
    inside(capsys, "gauge", "add", "DI-07", "--error", "0.003 mm", "--certificate", "C-1")
    measured(home, "before", "2026-02-01T08:00:00Z")
    inside(capsys, "gauge", "add", "DI-07", "--error", found, "--means", means, "--certificate", "C-2")
    measured(home, "after", "2026-04-01T08:00:00Z")
    listed = suspected(capsys)
    assert set(listed) == ({"before"} if suspect else set())
    if suspect:
        assert listed["before"][0].startswith("certificate C-2 found 0.00")


def test_what_was_measured_between_a_good_check_and_a_failed_one_hangs_on_it(
    ring: Path, capsys: Capsys
) -> None:
    check(ring, BASELINE[0], MEAN + 0.02, BASELINE[1], gauge_id="DI-07")
    for name, at, gauge in (
        ("before", "2026-01-31T12:00:00Z", "DI-07"),
        ("between", "2026-02-01T12:00:00Z", "DI-07"),
        ("other-gauge", "2026-02-01T12:00:00Z", "DI-08"),
        ("not-yet-good", "2026-02-02T12:00:00Z", "DI-07"),
        ("good-again", "2026-02-03T12:00:00Z", "DI-07"),
    ):
        measured(ring, name, at, gauge)
    said = "after the last good check (2026-02-01T08:12:00Z) of 'check ring', which was out on 2026-02-02T08:12:00Z"
    assert suspected(capsys) == {"between": [said], "not-yet-good": [said]}


# --- what does not go together ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--chart",), "--chart without PART"),
        (("--fix-baseline",), "--fix-baseline without PART"),
        ((RING, "--chart", "--trend"), "--trend and --chart at once"),
        (("--again", "1", "--by", "part"), "--by and --again at once"),
        (("--why", "so"), "--why goes with --again"),
        (("--suspect", "--last", "3"), "--last with --suspect"),
        (("--all",), "--all goes with --again"),
        (("--again", "1", "--all"), "--all and --again '1' at once"),
        (("--again",), "--again without a recording"),
        (("--again", "--json"), "--again without a recording"),
        (("--again", "99"), "has no turn 99"),
    ],
)
def test_what_does_not_go_together_is_refused(
    home: Path, capsys: Capsys, words: tuple[str, ...], said: str
) -> None:
    with open_store(home / "store.db"):
        pass
    assert said in one_line(inside(capsys, "history", *words))


def test_checks_of_two_serials_are_not_charted_together(ring: Path, capsys: Capsys) -> None:
    check(ring, BASELINE[0], serial="2")
    assert "has checks of 2 serials (, 2): name --serial" in one_line(
        inside(capsys, "history", RING, "--chart")
    )
    assert inside(capsys, "history", RING, "--chart", "--serial", "").status == 3
