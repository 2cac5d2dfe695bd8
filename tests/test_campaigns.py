"""Every campaign does its work once: a name that a result no longer has would else be found weeks later."""

import importlib
import re

import pytest
from firmware_bench import NEEDED
from places import ROOT

ONE_SWEEP = [
    ("coverage", ["--n", "1", "--turns", "2", "--condition", "white"], r"white +2 +1( +(0|100)\.0){10} +\d"),
    ("coverage", ["--n", "1", "--turns", "2", "--condition", "few values"], r"few values +2 +1( +(0|100)\.0){10} +\d"),
    ("fault_matrix", ["wrap", "--seeds", "1", "--turns", "2"], r"wrap +- +2 +1/1"),
    ("faults_in_scenarios", ["wind-pump/as-found", "--fault", "wrap"], r"1 runs, 0 without a reading"),
    ("few_counts_few_values", ["--sweeps", "1", "--only", "12 counts, spindle"], r"spindle +TIR held [01]/1, width \d"),
    ("late_gauges", ["--sweeps", "1"], r"hand +1 +[01] \(\d"),
    ("looks", ["white", "--series", "1"], r"white +5 +1( +(0|100)\.0){7}"),
    ("not_too_timid", ["--sweeps", "1", "--each"], r"at 0\.50 of the limit: (0|100)\.0 % of 1 decided"),
    ("predictions", ["--trials", "1"], r"1 parts: covered (0|100)\.0 %, largest error without noise \d\."),
    ("ridges_and_holes", ["plain", "--sweeps", "1"], r"plain +step 2\.0 noise 0\.3 um +n 1 +wrong +[01] "),
    ("stair_arrays", ["--sweeps", "1", "--turns", "2", "--counts", "24"], r"24 driven +2 +1 +(0|100)\.0"),
    ("slip_seen", ["spindle", "--sweeps", "1", "--turns", "2"], r"spindle +2 turns: refused [01]/1"),
]  # fmt: skip
"""Campaign, arguments of its least run, and what it prints then."""
AT_ONCE = [("screen_ten_minutes", ["--minutes", "0"], r"skipped by the ring: 0")]
EMULATED = [
    ("board_limits", ["--seconds", "1"], r"20011 +200 +20011 +0 "),
    ("emulated_minute", ["--seconds", "5", "--free"], r"indicator: \d+ readings, 0 wrong values"),
]
CASES = [*ONE_SWEEP, *AT_ONCE, *EMULATED]


def test_every_campaign_is_run_here() -> None:
    there = {path.stem for path in (ROOT / "tests" / "campaigns").glob("*.py")} - {"helpers_path"}
    assert there == {name for name, _, _ in CASES}


@pytest.mark.parametrize(
    ("name", "arguments", "row"),
    [*ONE_SWEEP, *AT_ONCE, *(pytest.param(*case, marks=NEEDED) for case in EMULATED)],
)
def test_a_campaign_does_its_work_once(
    name: str, arguments: list[str], row: str, capsys: pytest.CaptureFixture[str]
) -> None:
    importlib.import_module(f"tests.campaigns.{name}").main(arguments)
    assert re.search(row, capsys.readouterr().out)
