"""What a batch asks for between its parts: the check standard, a part put on again; and what hangs on a check."""

import math
from dataclasses import replace

import pytest

from analysis.errors import BadInput
from analysis.measurands import CheckBaseline
from logger.batch import (
    Batch,
    BatchPlan,
    CheckLimits,
    MeasuredPart,
    NextSweep,
    as_json,
    as_text,
    batch_plan,
    in_one_line,
    repeats,
    scatter_mm,
)

MEAN = 0.015 + 0.004j
LIMITS = CheckLimits("ring", "", CheckBaseline(MEAN, 0.0006, 12))
PLANNED = tuple(f"A-{k}" for k in range(1, 6))
ONE = MeasuredPart(
    "A-1", "hub", "as left", 0.031, 0.029, 0.033, 0.05, "within", "", "clear", "one.mcap", "id", 1, 0.01 + 0j
)


class SweepMaker:
    """Gives each sweep a recording of its own."""

    def __init__(self) -> None:
        self.number = 0

    def __call__(self, serial: str, z: complex = 0.01 + 0j, **more: object) -> MeasuredPart:
        self.number += 1
        return replace(ONE, serial=serial, first_mm=z, recording_id=f"id-{self.number}", **more)

    def check(self, z: complex) -> MeasuredPart:
        return self("", z, part="ring", stage="check standard", state="no decision")


@pytest.fixture
def sweep() -> SweepMaker:
    return SweepMaker()


def batch_of(plan: BatchPlan, planned: tuple[str, ...] = PLANNED) -> Batch:
    return Batch("J", planned, plan=plan, limits=LIMITS).begun()


def after(batch: Batch, *sweeps: MeasuredPart) -> Batch:
    for one in sweeps:
        batch = batch.with_sweep(one)
    return batch


CHECKED = BatchPlan(check_every=2, check_part="ring")
FAR = MEAN + 0.01


def test_the_check_standard_is_asked_for_after_so_many_parts_and_after_the_last(sweep: SweepMaker) -> None:
    batch = after(batch_of(CHECKED), sweep("A-1"))
    assert batch.wanted is NextSweep.PART
    batch = after(batch, sweep("A-2"))
    assert (batch.wanted, batch.serial) == (NextSweep.CHECK, "ring")
    assert dict(batch.setup_of_named) == {
        "part": "ring", "serial": "", "stage": "check standard", "limit": "",
    }  # fmt: skip
    batch = after(batch, sweep.check(MEAN), sweep("A-3"), sweep("A-4"), sweep.check(MEAN), sweep("A-5"))
    assert (batch.wanted, batch.over) == (NextSweep.CHECK, False)
    assert after(batch, sweep.check(MEAN)).over


def test_a_part_measured_twice_in_between_is_one_part(sweep: SweepMaker) -> None:
    batch = after(batch_of(CHECKED), sweep("A-1"), sweep("A-1"))
    assert batch.wanted is NextSweep.PART


def test_a_check_that_is_out_names_what_hangs_on_it_and_is_asked_for_again(sweep: SweepMaker) -> None:
    good = after(batch_of(CHECKED), sweep("A-1"), sweep("A-2"), sweep.check(MEAN), sweep("A-3"), sweep("A-4"))
    one = sweep.check(FAR)
    batch = after(good, one)
    assert list(batch.suspects) == ["A-3", "A-4"]
    assert (batch.wanted, batch.state) == (NextSweep.CHECK, "undecided")
    said = in_one_line(one, batch)
    # F(.99; 2, 22) of printed tables is 5.72 (common practice).
    d2 = 0.01**2 / (2 * 0.0006**2 * (1 + 1 / 12))
    assert (
        f"d2 {d2:.1f} of 5.7, out of control. Suspect, measured since the last good check: A-3, A-4" in said
    )
    assert "A-3: " not in said
    assert "out of control" in batch.wants
    assert "A-4" in as_text(batch)
    assert [row["suspect"] != "" for row in as_json(batch)["rows"]] == [False, False, True, True]


def test_no_part_is_taken_while_the_check_is_out_until_it_is_good_or_left_out(sweep: SweepMaker) -> None:
    batch = after(batch_of(CHECKED), sweep("A-1"), sweep("A-2"), sweep.check(FAR))
    same, words = batch.typed("A-3")
    assert (same.serial, "A-3 is not used yet" in words) == ("ring", True)
    left, words = batch.typed("skip ring fell down")
    assert (left.serial, left.wanted, words) == ("A-3", NextSweep.PART, "ring is skipped: ring fell down")
    assert list(after(left, sweep("A-3")).suspects) == ["A-1", "A-2", "A-3"]
    good = after(batch, sweep.check(MEAN))
    assert (good.serial, list(good.suspects)) == ("A-3", ["A-1", "A-2"])


def test_a_suspect_part_that_is_measured_after_a_good_check_hangs_on_it_no_more(sweep: SweepMaker) -> None:
    batch = after(batch_of(CHECKED), sweep("A-1"), sweep("A-2"), sweep.check(FAR), sweep.check(MEAN))
    assert list(after(batch, sweep("A-1")).suspects) == ["A-2"]


def test_a_check_without_limits_is_told_and_judges_nothing(sweep: SweepMaker) -> None:
    none = replace(batch_of(CHECKED), limits=CheckLimits("ring"))
    one = sweep.check(FAR)
    batch = after(none, sweep("A-1"), sweep("A-2"), one)
    assert (dict(batch.suspects), batch.serial) == ({}, "A-3")
    assert "not judged (no limits are fixed" in in_one_line(one, batch)


def test_every_so_many_parts_one_is_put_on_again_and_its_first_sweep_counts(sweep: SweepMaker) -> None:
    batch = after(batch_of(BatchPlan(twice_every=2)), sweep("A-1"), sweep("A-2", 0.010 + 0j))
    assert (batch.wanted, batch.serial) == (NextSweep.SECOND, "A-2")
    assert batch.setup_of_named["mounting"] == "2"
    second = sweep("A-2", 0.010 + 0.002j, mounting=2, tir_mm=0.034)
    batch = after(batch, second)
    assert (batch.serial, batch.parts["A-2"].tir_mm) == ("A-3", 0.031)
    pair = batch.repeats["A-2"]
    # By hand: the difference is 0.002 mm straight up the sine, so 0.004 mm TIR at 90 deg.
    assert (pair.change_tir_mm, pair.change_deg) == (pytest.approx(0.004), pytest.approx(90.0))
    assert "order 1 differs by 0.0040 mm TIR towards 90 deg" in in_one_line(second, batch)


def test_a_second_sweep_may_be_left_out_with_a_reason(sweep: SweepMaker) -> None:
    batch = after(batch_of(BatchPlan(twice_every=1)), sweep("A-1"))
    left, words = batch.typed("skip stuck")
    assert (left.serial, words) == ("A-2", "A-1 a second time is skipped: stuck")


def test_begun_again_it_asks_for_what_was_due(sweep: SweepMaker) -> None:
    sweeps = after(batch_of(CHECKED), sweep("A-1"), sweep("A-2")).sweeps
    again = Batch("J", PLANNED, sweeps, plan=CHECKED, limits=LIMITS).begun()
    assert again.wanted is NextSweep.CHECK


def test_a_part_left_out_before_is_asked_for_with_its_reason() -> None:
    batch = Batch("J", PLANNED, left_before={"A-1": "burr"}).begun()
    assert "Put A-1 on (left out before: burr)" in batch.wants


def test_pairs_scatter_as_the_variance_of_a_difference_says(sweep: SweepMaker) -> None:
    """Two pairs that differ by 0.002 and 0.004 mm: s2 = (4 + 16) / (4 * 2) in um2 (by hand)."""
    sweeps = [
        sweep("A", 0j),
        sweep("A", 0.002 + 0j, mounting=2),
        sweep("B", 0j),
        sweep("B", 0.004j, mounting=2),
    ]
    assert scatter_mm(list(repeats(sweeps).values())) == pytest.approx(math.sqrt(20 / 8) * 1e-3)


@pytest.mark.parametrize(("every", "part"), [(3, None), (None, "ring"), (3, " ")])
def test_how_often_and_which_check_standard_go_together(every: int | None, part: str | None) -> None:
    with pytest.raises(BadInput, match="go together"):
        batch_plan(every, part, None)
