"""What a slow gauge, the encoder, the mark, a second tip and the stand add, which no sweep shows by itself.

Sizes without a source are common practice; every line says that it was taken by default.
"""

import math
from collections.abc import Sequence

from analysis.numerics import ARCSINE, RECTANGULAR, Component
from analysis.uncertainty.gauge_budget import HYSTERESIS, BudgetLine, LineOn, LineOrigin

ENCODER_OFF_CENTRE = 0.05 / 15.0
"""Eccentricity of an encoder's wheel over its radius."""
MARK_BY_EYE_DEG = 2.0
GAINS_APART = 0.01
TIPS_OFF_DEG = 2.0
STAND_MM = 150.0
STEEL_PER_K = 11.5e-6
"""Handbook value."""
WARMED_K = 0.1
"""Change of the stand against the part over a sweep, where too few turns show a drift that bends."""
_AVERAGED_ORDERS = 3
LAG_OF_GAUGE = "lag of the gauge"
"""The line of a late gauge on every angle."""


def averaging(amplitudes_mm: Sequence[float], rad_per_s: float, latest_s: float) -> BudgetLine:
    """Return what a gauge that averages hides of the TIR: it moves the upper limit alone.

    A window of twice the delay takes 1 - sinc(n w tau) off order n, whose TIR is 2 A_n.
    """
    lost = 0.0
    for n, amplitude in enumerate(amplitudes_mm[:_AVERAGED_ORDERS], 1):
        turned = min(n * abs(rad_per_s) * latest_s, math.pi)
        lost += 2.0 * amplitude * (1.0 - math.sin(turned) / turned if turned > 0.0 else 0.0)
    part = Component(lost / math.sqrt(3.0), one_sided=True, distribution=RECTANGULAR)
    return BudgetLine("averaging of the gauge", LineOrigin.DEFAULT, part)


def encoder_off_centre(first_mm: float, second_mm: float) -> list[BudgetLine]:
    """Return what an encoder off its centre does: angles bent once a turn by e / R.

    That brings A_2 e / R into order 1 on either side and takes A_1 (e / R)^2 / 2 from it (second order of
    cos(phi + u)); twice that on a TIR.
    """
    off = ENCODER_OFF_CENTRE
    bent = Component(2.0 * second_mm * off + first_mm * off**2)
    turned = Component(math.degrees(off) / math.sqrt(2.0), distribution=ARCSINE)
    return [
        BudgetLine("encoder off centre", LineOrigin.DEFAULT, bent),
        BudgetLine("encoder off centre", LineOrigin.DEFAULT, turned, LineOn.ANGLE),
    ]


def mark_by_eye() -> BudgetLine:
    """Return what a mark touched by eye, within two degrees, does to every angle."""
    part = Component(MARK_BY_EYE_DEG / math.sqrt(3.0), distribution=RECTANGULAR)
    return BudgetLine("mark touched by eye", LineOrigin.DEFAULT, part, LineOn.ANGLE)


def play_on_angle(first_mm: float, play_mm: float, origin: LineOrigin) -> BudgetLine | None:
    """Return what play does to the high side; None without a first order.

    Behind on the way up and on the way down, order 1 turns by up to 2 h / (pi A_1) (1 - h / 2 A_1).
    """
    if first_mm <= 0.0:
        return None
    share = min(play_mm / first_mm, 1.0)
    turned = math.degrees(2.0 * share / math.pi * (1.0 - share / 2.0))
    part = Component(turned / math.sqrt(12.0), distribution=RECTANGULAR)
    return BudgetLine(HYSTERESIS, origin, part, LineOn.ANGLE)


def stand_warms(bend_mm_per_turn: float | None) -> BudgetLine:
    """Return what drift leaves when a straight one was taken out: half its change of slope over a turn.

    ``bend_mm_per_turn``: that half, from three turns and more; None where it cannot be seen and a stand of
    150 mm of steel is taken to warm by a tenth of a degree.
    """
    if bend_mm_per_turn is not None:
        part = Component(abs(bend_mm_per_turn) / math.sqrt(3.0), distribution=RECTANGULAR)
        return BudgetLine("drift that bends", LineOrigin.SWEEP, part)
    return BudgetLine("stand warming", LineOrigin.DEFAULT, Component(STAND_MM * STEEL_PER_K * WARMED_K))


def two_tips(walk_tir_mm: float, first_mm: float) -> list[BudgetLine]:
    """Return what gains 1 % apart and tips 2 deg from opposite leave in the difference of two tips.

    Half the difference of the gains times the walk; 2 sin(1 deg) times the first amplitude.
    """
    turned = 2.0 * math.sin(math.radians(TIPS_OFF_DEG) / 2.0) * first_mm
    return [
        BudgetLine("gains of two tips", LineOrigin.DEFAULT, Component(GAINS_APART / 2.0 * walk_tir_mm)),
        BudgetLine("two tips not opposite", LineOrigin.DEFAULT, Component(turned)),
    ]
