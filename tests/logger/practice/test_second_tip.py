"""A second indicator, a shaft that walks, an indicator carried round, a part turned back."""

import numpy as np
import pytest
from practice_runs import OPENING, Run, fit_orders, run

from logger.practice.stories.moved_tips import DISC_THICKNESS, SAG, TABLE_AXIAL_MOTION
from logger.wire.messages import Batch, Channel, Hello, Index

NOISE_MM = 0.0004
"""0.0008 mm of noise over some thousand values is 0.00003 mm; bearing motion leaks some 0.0003 mm."""


def of_channel(found: Run, channel: int) -> tuple[np.ndarray, np.ndarray]:
    """Return turns and readings (mm) of one channel."""
    mine = [sample for sample in found.samples if sample.channel == channel]
    turns = np.array([sample.count for sample in mine]) / 2400
    return turns, np.array([sample.value for sample in mine]) * 0.001


def test_a_second_indicator_is_described_as_a_second_channel() -> None:
    found = run("turntable/two-tips")
    assert {hello.channels for hello in found.of(Hello)} == {2}
    assert [one.channel for one in found.of(Channel)][:2] == [0, 1]


def test_both_are_read_at_the_same_moments() -> None:
    found = run("turntable/two-tips")
    times = [[s.t_us for s in found.samples if s.channel == channel] for channel in (0, 1)]
    assert times[0] == times[1]


def test_both_tips_see_the_same_walk() -> None:
    found = run("turntable/two-tips")
    (turns, first), (_, second) = (of_channel(found, channel) for channel in (0, 1))
    half_sum = fit_orders(turns, (first + second) / 2, 3)
    # 0.004 mm that does not repeat, over four turns: a quarter of it may fall on order 1.
    assert half_sum[1] == pytest.approx(dict(TABLE_AXIAL_MOTION.orders.terms)[1], abs=0.001)


def test_what_opposed_tips_add_up_to_is_the_thickness() -> None:
    found = run("bicycle-disc/two-tips")
    (turns, first), (_, second) = (of_channel(found, channel) for channel in (0, 1))
    total = fit_orders(turns, first + second, 3)
    expected = dict(DISC_THICKNESS.terms)
    assert all(abs(total[n] - expected.get(n, 0j)) < NOISE_MM for n in total)


def test_a_carried_indicator_goes_the_other_way_round_the_part() -> None:
    found = run("coupling/sag")
    orders = fit_orders(-found.turns, found.reading_mm, 1)
    assert orders[1] == pytest.approx(dict(SAG.terms)[1], abs=NOISE_MM)


def test_turned_back_the_counts_fall() -> None:
    found = run("check-rig/slow-back")
    assert found.turns[-1] < -found.scenario.turns


def test_without_an_index_pulse_none_is_sent() -> None:
    assert run("check-rig/no-index").of(Index) == []


def test_a_batch_is_of_one_channel() -> None:
    batched = run("turntable/two-tips", turns=1, commands=(OPENING[0], b"2 mode batch\n", OPENING[2]))
    flags = {batch.flags & 0x0F for batch in batched.of(Batch)}
    assert (batched.bad, flags) == (0, {0, 1})


def test_a_first_pass_leaves_a_level_and_what_lies_under_it() -> None:
    found = run("wind-pump-shop/between-passes")
    level = found.scenario.plant.cut_to_mm
    assert level is not None
    top = np.percentile(found.reading_mm - found.scenario.gauge.preset_mm, 99)
    assert top == pytest.approx(level, abs=0.003)  # three standard deviations of the noise, and a step
