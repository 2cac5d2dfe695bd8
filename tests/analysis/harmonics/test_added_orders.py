"""Lobes above the highest order are found, and nothing else is taken for one."""

import math

import numpy as np
import pytest
from made_sweeps import Floats, Made, made, wobble

from analysis.harmonics import AddedOrders, FitPlan, find_added_orders, fit_harmonics, orders_and_lines

NOISE_MM = 0.0005
PLAN = FitPlan(15, 3)


def lobed(order: int, height_mm: float = 0.006, **changed: float) -> Made:
    def also(deg: Floats) -> Floats:
        return np.asarray(height_mm / 2 * np.cos(order * np.radians(deg) + 0.7))

    return made(wobble(0.05), noise_mm=NOISE_MM, also=also, seed=int(changed.get("seed", 1)),
                step_mm=changed.get("step_mm", 0.0))  # fmt: skip


def found(sweep: Made, plan: FitPlan = PLAN, step_mm: float = 0.0) -> AddedOrders:
    return find_added_orders(sweep.angle_rad, sweep.reading_mm, sweep.t_s, plan, resolution_mm=step_mm)


@pytest.mark.parametrize("order", [16, 17, 24, 48, 60])
def test_a_lobe_is_found_and_it_alone(order: int) -> None:
    assert found(lobed(order)).orders == (order,)


def test_two_are_told() -> None:
    other = lobed(31, seed=3)
    sweep = lobed(24)
    both = Made(sweep.angle_rad, sweep.reading_mm + other.reading_mm, sweep.t_s, sweep.turn)
    assert found(both).orders == (24, 31)


def test_noise_shows_none() -> None:
    # One in a thousand by its own threshold: two of thirty come four times in ten thousand.
    assert sum(bool(found(lobed(24, 0.0, seed=seed)).orders) for seed in range(30)) <= 1


def test_stairs_of_a_coarse_gauge_are_no_lobes() -> None:
    step = 0.01
    stairs = made(wobble(0.05), noise_mm=0.2 * step, step_mm=step)
    assert found(stairs, step_mm=step).orders == ()


def test_an_order_as_high_as_is_said_is_found_nearly_always() -> None:
    seen = found(lobed(24, 0.0)).seen_mm
    hits = sum(found(lobed(24, 2 * seen, seed=seed)).orders == (24,) for seed in range(40))
    # 95 in 100: under 31 of 40 come once in ten thousand.
    assert hits >= 31


def test_it_is_found_from_so_high_by_the_formula() -> None:
    # 45 candidates, 1440 readings: (root(-2 ln(.001 / 45)) + 1.645) s root(2 / N); s known to 2 %.
    expected = (math.sqrt(-2 * math.log(0.001 / 45)) + 1.645) * NOISE_MM * math.sqrt(2 / 1440)
    assert found(lobed(24, 0.0)).seen_mm == pytest.approx(expected, rel=0.08)


def fast_line(order: float, height_mm: float = 0.006, seed: int = 1) -> Made:
    def also(deg: Floats) -> Floats:
        return np.asarray(height_mm / 2 * np.cos(order * np.radians(deg) + 0.7 + seed))

    return made(wobble(0.05), noise_mm=NOISE_MM, also=also, seed=seed)


def both_found(sweep: Made) -> tuple[tuple[int, ...], list[float]]:
    above, lines = orders_and_lines(sweep.angle_rad, sweep.reading_mm, sweep.t_s, sweep.turn, PLAN)
    return above.orders, [round(line.order, 1) for line in lines.lines]


@pytest.mark.parametrize("order", [17.2, 18.5, 22.8, 31.4])
def test_a_fast_line_makes_no_lobe_beside_it(order: float) -> None:
    assert found(fast_line(order)).orders  # by itself the search takes it for one
    assert both_found(fast_line(order)) == ((), [order])


@pytest.mark.parametrize("order", [17, 24, 31])
def test_a_lobe_makes_no_line_beside_it(order: int) -> None:
    assert both_found(lobed(order)) == ((order,), [])


def test_a_lobe_and_a_fast_line_are_told_apart() -> None:
    lobe, line, plain = lobed(24), fast_line(18.5), lobed(24, 0.0)
    both = Made(lobe.angle_rad, lobe.reading_mm + line.reading_mm - plain.reading_mm, lobe.t_s, lobe.turn)
    assert both_found(both) == ((24,), [18.5])


def test_places_that_cannot_tell_an_order_say_so() -> None:
    # 40 places a turn, the same on every turn: order 25 reads as 15 does.
    sweep = made(wobble(0.05), turns=3, per_turn=40, noise_mm=NOISE_MM)
    assert 25 not in found(sweep).orders
    assert found(sweep).looked_for < 25


def test_angles_by_time_are_not_searched() -> None:
    assert found(lobed(24), FitPlan(15, 3, even_angles=False)) == AddedOrders((), math.inf, 15)


def test_the_fit_with_a_lobe_has_its_height_and_nothing_between() -> None:
    sweep = lobed(24)
    fit = fit_harmonics(
        sweep.angle_rad, sweep.reading_mm, sweep.t_s, highest_order=15, drift=True, added=(24,)
    )
    assert (fit.highest_order, fit.consecutive_orders, fit.added_orders) == (24, 15, (24,))
    # s root(2 / N), four of them.
    assert float(fit.amplitude_mm[23]) == pytest.approx(0.003, abs=4 * NOISE_MM * math.sqrt(2 / 1440))
    assert not fit.amplitude_mm[15:23].any()
    assert not np.diag(fit.covariance_mm2)[30:46].any()


def test_added_or_always_fitted_an_order_comes_out_the_same() -> None:
    """Even angles make orders orthogonal: what else is fitted changes none of them (textbook)."""
    sweep = lobed(17)
    alone = fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=15, added=(17,))
    whole = fit_harmonics(sweep.angle_rad, sweep.reading_mm, highest_order=17)
    assert alone.vectors_mm[16] == pytest.approx(whole.vectors_mm[16], abs=1e-12)
