"""Lines of a budget through a curve that is put together: in quadrature, by cosine, by sine (own derivation)."""

import cmath
import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from made_sweeps import PER_TURN, Made, capture

from analysis.numerics import Component
from analysis.results import SweepResult
from analysis.separation import SweepShare, lines_of_shares
from analysis.sweep import analyse
from analysis.uncertainty import BudgetLine, LineOn, LineOrigin

OWN, LATHE = cmath.rect(0.070, math.radians(63.0)), cmath.rect(0.085, math.radians(75.0))


@cache
def any_sweep() -> SweepResult:
    turned = np.arange(2 * PER_TURN) / PER_TURN
    angle = 2.0 * math.pi * turned
    reading = np.real(OWN * np.exp(-1j * angle)) + np.random.default_rng(1).normal(0, 1e-3, len(turned))
    return analyse(capture(Made(angle, reading, turned, np.floor(turned).astype(np.int64))))


def share(z: complex, *lines: BudgetLine, weight: float = 1.0) -> SweepShare:
    return SweepShare(np.array([z]), weight, replace(any_sweep(), unseen=lines))


def line(part: Component, on: LineOn = LineOn.TIR, source: str = "one") -> BudgetLine:
    return BudgetLine(source, LineOrigin.DEFAULT, part, on)


def test_spreads_of_two_sweeps_join_in_quadrature_by_their_weights() -> None:
    each = line(Component(0.002))
    (found,) = lines_of_shares([share(OWN, each), share(-2.0 * LATHE, each, weight=2.0)])
    # JCGM 100:2008, 5.1.2: sensitivities 1 and 2.
    assert found.part.u == pytest.approx(0.002 * math.sqrt(5.0))
    assert not found.part.one_sided


def test_what_hides_height_moves_what_is_left_by_the_cosine() -> None:
    hides = line(Component(0.0, shift=0.003, one_sided=True))
    left = OWN - LATHE
    above, below = sorted(
        lines_of_shares([share(OWN, hides), share(-LATHE, hides)]), key=lambda one: -one.part.shift
    )
    cosines = [
        math.cos(cmath.phase(OWN) - cmath.phase(left)),
        math.cos(cmath.phase(-LATHE) - cmath.phase(left)),
    ]
    assert above.part.shift == pytest.approx(0.003 * max(cosines))
    assert below.part.shift == pytest.approx(0.003 * min(cosines))
    assert above.part.upward
    assert below.part.downward


def test_the_cosine_is_how_far_the_tir_moves() -> None:
    """Another road: 3 um of TIR, 1.5 of amplitude, put onto the lathe's own wobble, and the TIR taken anew."""
    hides = line(Component(0.0, shift=0.0003, one_sided=True))
    (found,) = lines_of_shares([share(OWN), share(-LATHE, hides)])
    more = LATHE * (1.0 + 0.00015 / abs(LATHE))
    # First order: a thousandth of the wobble off leaves a thousandth of the cosine.
    assert found.part.shift == pytest.approx(2.0 * abs(OWN - more) - 2.0 * abs(OWN - LATHE), rel=0.01)


def test_what_turns_a_sweep_moves_what_is_left_by_the_sine() -> None:
    (found,) = lines_of_shares([share(OWN, line(Component(0.1), LineOn.ANGLE)), share(-LATHE)])
    moved = 2.0 * abs(OWN * cmath.rect(1.0, math.radians(0.1)) - LATHE) - 2.0 * abs(OWN - LATHE)
    assert found.part.u == pytest.approx(abs(moved), rel=0.01)
    assert found.on is LineOn.TIR


def test_of_one_sweep_alone_the_lines_are_its_own() -> None:
    hides = line(Component(0.001, shift=0.003, one_sided=True))
    turns = line(Component(1.0), LineOn.ANGLE, "mark")
    found = {one.source: one.part for one in lines_of_shares([share(OWN, hides, turns)])}
    assert found["one"].shift == pytest.approx(0.003)
    assert found["mark, angle"].u == pytest.approx(0.0, abs=1e-12)
