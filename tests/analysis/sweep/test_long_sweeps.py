"""A long sweep, of which few turns keep their readings, says what all of its readings say."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
import pytest
from made_sweeps import Floats, Made, capture, made, wobble

from analysis.results import SweepResult
from analysis.setup import Quantity, make_limit
from analysis.sweep import Options, analyse, reduced_turns
from analysis.sweep.kept_turns import KeptTurns
from analysis.units import parse_length

Shape = Callable[[Floats], Floats]

STEP_MM = 0.001
TURNS = 60
"""At 480 readings a turn 28,800: more than are kept whole."""


def read_over(also: Shape, turns: int = TURNS) -> Made:
    """A part that runs out, read with noise and a drift."""
    return made(
        wobble(0.08), turns=turns, noise_mm=0.0006, step_mm=STEP_MM, also=lambda deg: also(deg) + 1e-7 * deg
    )


def analysed(sweep: Made, monkeypatch: pytest.MonkeyPatch, *, whole: bool = False) -> SweepResult:
    limit = make_limit(parse_length("0.1 mm", "limit"), Quantity.TIR, surface="face")
    with monkeypatch.context() as patched:
        if whole:
            patched.setattr(reduced_turns, "KeptTurns", partial(KeptTurns, whole=10**9))
        given = replace(capture(sweep, STEP_MM), counts_per_turn=2400.0)
        return analyse(given, Options(limit=limit))


def nothing(deg: Floats) -> Floats:
    return 0.0 * deg


def lobes(deg: Floats) -> Floats:
    return np.asarray(0.004 * np.cos(np.radians(24.0 * deg)))


def ridge(deg: Floats) -> Floats:
    return np.asarray(0.02 * np.exp(-(((deg - 140.0 + 180.0) % 360.0 - 180.0) ** 2) / 8.0))


def knock_on(turn: int) -> Shape:
    return lambda deg: 0.02 * (np.abs(deg - 360.0 * turn - 200.0) < 2.5)


@pytest.mark.parametrize("also", [nothing, ridge, lobes])
def test_it_says_the_same(also: Shape, monkeypatch: pytest.MonkeyPatch) -> None:
    sweep = read_over(also)
    judged, found = (analysed(sweep, monkeypatch, whole=whole) for whole in (True, False))
    assert [repr(turn) for turn in found.turns] == [repr(turn) for turn in judged.turns]
    for name in ("highest_order", "tir_raw_mm", "synchronous_mm", "asynchronous_mm"):
        assert getattr(found.pooled, name) == pytest.approx(getattr(judged.pooled, name), rel=1e-12)
    assert found.pooled.noise_mm == pytest.approx(judged.pooled.noise_mm, rel=1e-12)
    assert found.pooled.drift_mm_per_s == pytest.approx(judged.pooled.drift_mm_per_s, rel=1e-12)
    assert found.vectors.z_mm == pytest.approx(judged.vectors.z_mm, abs=1e-13)
    assert found.pooled.added_orders == judged.pooled.added_orders
    assert [check.state for check in found.checks] == [check.state for check in judged.checks]
    assert [(bump.kind, bump.repeats) for bump in found.bumps] == [
        (bump.kind, bump.repeats) for bump in judged.bumps
    ]
    for mine, theirs in zip(found.bumps, judged.bumps, strict=True):
        assert (mine.deg, mine.width_deg) == pytest.approx((theirs.deg, theirs.width_deg), abs=0.75)
        assert mine.height_mm == pytest.approx(theirs.height_mm, abs=0.001)
    assert found.decision is not None
    assert judged.decision is not None
    assert found.decision.state == judged.decision.state
    assert found.decision.number.u == pytest.approx(judged.decision.number.u, rel=0.05)


@pytest.mark.parametrize("turn", [0, 1, 7, 37, 298])
def test_a_knock_on_one_turn_of_three_hundred_is_found(turn: int, monkeypatch: pytest.MonkeyPatch) -> None:
    found = analysed(read_over(knock_on(turn), turns=300), monkeypatch)
    (knock,) = found.bumps
    assert not knock.repeats
    assert (knock.turns, knock.deg) == (1, pytest.approx(200.0, abs=0.5))
    assert knock.height_mm == pytest.approx(0.02, abs=0.0015)
