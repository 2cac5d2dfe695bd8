"""A check standard held against NIST/SEMATECH e-Handbook of Statistical Methods, section 2.6.2 (MPC62.DAT).

One number a check there, a vector here: with no second component the scatter of one is theirs over sqrt 2.
"""

import csv
import math
from datetime import date, timedelta

import numpy as np
import pytest
from places import REFERENCE

from analysis.measurands import CheckBaseline, check_baseline, pooled_repeats
from analysis.numerics import t_quantile

PER_CHECK = 5
"""Degrees of freedom of the repeats within a check; 25 checks."""


@pytest.fixture(scope="module")
def checks() -> dict[str, np.ndarray]:
    with (REFERENCE / "nist_mpc62_check_standard.csv").open() as lines:
        assert next(lines).startswith("# Source: ")
        rows = list(csv.DictReader(lines))
    return {key: np.array([float(row[key]) for row in rows]) for key in ("occasion", "value", "stddev")}


@pytest.fixture(scope="module")
def baseline(checks: dict[str, np.ndarray]) -> CheckBaseline:
    days = [date(2026, 1, 1) + timedelta(k) for k in range(25)]
    return check_baseline([complex(value) for value in checks["value"]], days)


def test_mean_and_scatter_are_those_printed(baseline: CheckBaseline) -> None:
    assert round(baseline.mean_mm.real, 5) == 97.06984
    assert (round(baseline.s_mm * math.sqrt(2.0), 5), baseline.dof // 2) == (0.02680, 24)


def test_the_limits_of_one_check_are_those_printed(
    baseline: CheckBaseline, checks: dict[str, np.ndarray]
) -> None:
    reach = t_quantile(0.975, 24) * baseline.s_mm * math.sqrt(2.0)
    low, high = (baseline.mean_mm.real + sign * reach for sign in (-1.0, 1.0))
    # 97.0145 and 97.1251 there, from 2.064 and a rounded s.
    assert (low, high) == (pytest.approx(97.0145, abs=6e-5), pytest.approx(97.1251, abs=6e-5))
    assert checks["occasion"][(checks["value"] < low) | (checks["value"] > high)].tolist() == [6]


def test_repeats_are_held_against_the_limit_printed(checks: dict[str, np.ndarray]) -> None:
    # One number a check there: s of one component with five degrees of freedom is what is handed over.
    found = pooled_repeats([(float(s), PER_CHECK) for s in checks["stddev"]])
    assert found is not None
    assert (round(found.s_mm, 5), found.dof) == (0.06139, 125)
    # 2.29 is printed for F(0.95; 5, 125); .09238 is printed for the limit, which is .0928 to .0929.
    limit = found.limit_mm(PER_CHECK)
    assert (limit / found.s_mm) ** 2 == pytest.approx(2.2868, abs=5e-5)
    assert round(limit, 4) == 0.0928
    assert checks["occasion"][checks["stddev"] > limit].tolist() == [8, 20]
