"""A check standard as a vector: its limit, what it finds and how often it is wrong, beside scipy and simulation."""

import math
from datetime import date, timedelta

import numpy as np
import pytest
from scipy import stats

from analysis.errors import NotDecidable
from analysis.measurands import CheckBaseline, check_baseline

FIRST = date(2026, 1, 1)


def days(n: int) -> list[date]:
    return [FIRST + timedelta(days=k) for k in range(n)]


@pytest.mark.parametrize("n", [10, 15, 25, 400])
def test_the_limit_is_fishers_quantile(n: int) -> None:
    # scipy 1.x, stats.f
    assert CheckBaseline(0j, 1.0, n).limit == pytest.approx(stats.f.ppf(0.99, 2, 2 * (n - 1)), rel=1e-9)


@pytest.mark.parametrize("n", [10, 15, 25, 400])
def test_the_shift_that_is_found_is_that_of_the_noncentral_f(n: int) -> None:
    found = CheckBaseline(0j, 0.7, n)
    noncentrality = found.shift_found_mm**2 / (0.7**2 * (1 + 1 / n))
    # scipy 1.x, stats.ncf
    assert stats.ncf.sf(found.limit, 2, 2 * (n - 1), noncentrality) == pytest.approx(0.9, abs=1e-9)


def test_fifteen_days_find_a_shift_of_four_point_seven_standard_deviations() -> None:
    # Worked out beside this program by the noncentral F before it was written; no published source.
    found = CheckBaseline(0.0305 / 2 + 0j, 0.0009, 15)
    assert found.shift_found_mm / 0.0009 == pytest.approx(4.70, abs=0.005)
    turned = found.turn_found_deg
    assert turned is not None
    assert 2 * abs(found.mean_mm) * math.sin(math.radians(turned) / 2) == pytest.approx(found.shift_found_mm)


def test_a_standard_that_hardly_runs_out_shows_no_turn() -> None:
    assert CheckBaseline(0.001 + 0j, 0.001, 15).turn_found_deg is None
    assert CheckBaseline(0j, 0.001, 15).turn_found_deg is None


@pytest.mark.parametrize("n", [10, 25])
def test_a_standard_as_it_was_is_called_out_one_time_in_a_hundred(n: int) -> None:
    rng = np.random.default_rng(20261127 + n)
    sets, out = 4_000, 0
    for _ in range(sets):
        z = rng.normal(0.05, 0.001, n + 1) + 1j * rng.normal(-0.02, 0.001, n + 1)
        baseline = check_baseline(list(z[:n]), days(n))
        out += baseline.distance(complex(z[n])) > baseline.limit
    # Four binomial standard deviations about the aim: wrong once in 16,000 seeds, and the seed is fixed.
    assert abs(out - 40) < 4 * math.sqrt(40)


def test_a_high_side_that_turned_is_seen_where_the_runout_is_the_same() -> None:
    rng = np.random.default_rng(7)
    seen_as_vector = seen_as_size = 0
    for _ in range(500):
        z = 1.0 + 0.15 * (rng.normal(size=11) + 1j * rng.normal(size=11))
        z[10] = abs(z[10]) * np.exp(1j * (np.angle(z[10]) + math.radians(30)))
        baseline = check_baseline(list(z[:10]), days(10))
        seen_as_vector += baseline.distance(complex(z[10])) > baseline.limit
        sizes = np.abs(z[:10])
        seen_as_size += abs(abs(z[10]) - sizes.mean()) > 3 * sizes.std(ddof=1)
    assert seen_as_vector > 150
    assert seen_as_size < 25


def test_of_one_day_only_the_first_check_counts() -> None:
    z = [complex(k, -k) for k in range(10)]
    twice = check_baseline([*z, 99 + 99j], [*days(10), FIRST])
    assert twice == check_baseline(z, days(10))
    assert (twice.n, twice.mean_mm) == (10, 4.5 - 4.5j)
    assert twice.s_mm == pytest.approx(np.std(np.arange(10), ddof=1))


def test_nine_days_are_too_few_however_many_checks() -> None:
    z = [complex(k) for k in range(18)]
    with pytest.raises(NotDecidable, match="18 checks on 9 days: limits want 10 days at least"):
        check_baseline(z, [*days(9), *days(9)])


def test_checks_without_any_scatter_fix_no_limits() -> None:
    with pytest.raises(NotDecidable, match="read the same to the last digit"):
        check_baseline([1j] * 10, days(10))
