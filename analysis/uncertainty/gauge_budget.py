"""What a gauge and its setting by eye add to a length held against a limit.

A repeat of the sweep with the same gauge at the same spot shows none of it, so it is in no interval of the
sweep alone. Where nothing was declared a line stands in for it and says so.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from analysis.numerics import (
    EXPANDED,
    NORMAL,
    RECTANGULAR,
    Component,
    Distribution,
    UncertainNumber,
)


class LineOrigin(StrEnum):
    """Where a line of the budget has its size from."""

    SWEEP = "sweep"
    CERTIFICATE = "certificate"
    SET_UP = "set-up"
    DEFAULT = "default"


class LineOn(StrEnum):
    """What a line of the budget makes uncertain."""

    TIR = "tir"
    ANGLE = "angle"


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One line of what a sweep by itself cannot show."""

    source: str
    origin: LineOrigin
    part: Component
    """On the TIR in mm, or on the high side in degrees."""
    on: LineOn = LineOn.TIR

    def times(self, spread: float, shift: float) -> "BudgetLine":
        """Return the line with its spread and what stands on one side each times a factor."""
        return replace(self, part=self.part.times(spread, shift))


def with_lines(number: UncertainNumber, lines: Iterable[BudgetLine], share: float = 1.0) -> UncertainNumber:
    """Return a length with every line on the TIR joined, ``share`` of each: half for an eccentricity.

    Spreads join in quadrature (JCGM 100:2008, 5.1.2); what stands on one side moves its limit alone.
    """
    for line in lines:
        if line.on is LineOn.TIR:
            number = number.with_part(line.source, line.times(share, share).part)
    return number


@dataclass(frozen=True, slots=True)
class GaugeDeclared:
    """What is known of the gauge, mm; None where nothing is."""

    error_u_mm: float | None = None
    """Standard uncertainty of one reading by the certificate."""
    error_distribution: Distribution = NORMAL
    """As the certificate gives it, from ``GIVEN_AS``."""
    hysteresis_mm: float | None = None
    play_found_mm: float | None = None
    """Found on ground that was passed twice."""
    play_found_u_mm: float = 0.0


ERROR, HYSTERESIS, BY_EYE = "gauge's own error", "hysteresis", "gauge set by eye"
OF_A_GAUGE = (ERROR, HYSTERESIS, BY_EYE)
"""Lines that a second gauge brings anew."""
COARSE_STEP_MM = 0.005
"""From this step on a gauge is one of 0.01 mm; 0.0005 inch is."""
_ERROR_MM = (0.002, 0.005)
"""Limits of the local error within a tenth of a revolution, fine gauge and coarse (JIS B 7503:2011, from a
public extract, for 0.001 mm up to 2 mm and 0.01 mm up to 10 mm)."""
_HYSTERESIS_MM = (0.002, 0.003)
"""The same standard."""
SET_BY_EYE_DEG = 5.0
"""Common practice, no source; so is the next."""
LEVER_DEG = 15.0


def default_error_mm(step_mm: float) -> float:
    """Return the limits of error that a gauge of this step is taken to have, mm."""
    return _ERROR_MM[step_mm >= COARSE_STEP_MM]


def default_hysteresis_mm(step_mm: float) -> float:
    """Return the hysteresis that a gauge of this step is taken to have, mm."""
    return _HYSTERESIS_MM[step_mm >= COARSE_STEP_MM]


GIVEN_AS = {"limits": RECTANGULAR, "U95": EXPANDED, "u": NORMAL}
"""What a certificate's figure is, by the word for it."""


def reading_u_mm(error_mm: float, means: str) -> float:
    """Return u of one reading from a certificate's figure: ``limits`` of error, ``U95`` or ``u``.

    A TIR is the difference of two readings, so that sqrt 2 comes on top (JCGM 100:2008, 4.3.7 and 5.1.2).
    """
    return error_mm / GIVEN_AS[means].divisor


def gauge_error(declared: GaugeDeclared, step_mm: float) -> BudgetLine:
    """Return the gauge's own error on a difference of two of its readings.

    Without a certificate the standard's band over a tenth of a revolution is taken as rectangular.
    """
    if declared.error_u_mm is not None:
        two = math.sqrt(2.0)
        part = Component(two * declared.error_u_mm, distribution=declared.error_distribution, sensitivity=two)
        return BudgetLine(ERROR, LineOrigin.CERTIFICATE, part)
    part = Component(default_error_mm(step_mm) / math.sqrt(3.0), distribution=RECTANGULAR)
    return BudgetLine(ERROR, LineOrigin.DEFAULT, part)


def hysteresis(declared: GaugeDeclared, step_mm: float) -> BudgetLine:
    """Return what play adds: it only hides height, so that it moves the upper limit alone.

    The truth lies from the reading to h above it, h / 2 on average with u = h / sqrt 12; play that was found
    on ground passed twice is added whole.
    """
    if declared.play_found_mm is not None:
        found = Component(declared.play_found_u_mm, shift=declared.play_found_mm, one_sided=True)
        return BudgetLine(HYSTERESIS, LineOrigin.SWEEP, found)
    given = declared.hysteresis_mm
    h = default_hysteresis_mm(step_mm) if given is None else given
    origin = LineOrigin.DEFAULT if given is None else LineOrigin.SET_UP
    part = Component(h / math.sqrt(12.0), shift=h / 2.0, one_sided=True, distribution=RECTANGULAR)
    return BudgetLine(HYSTERESIS, origin, part)


def set_by_eye(tir_mm: float, gauge_angle_deg: float, *, lever: bool) -> BudgetLine:
    """Return what setting the gauge by eye to within five degrees does to the TIR.

    A plunger meant to stand square always reads too much: the truth lies from TIR cos 5 deg to the TIR. At an
    angle, as a lever stands, the cosine changes both ways.
    """
    off = math.radians(SET_BY_EYE_DEG)
    set_to = math.radians(abs(gauge_angle_deg) or (LEVER_DEG if lever else 0.0))
    if set_to == 0.0:
        over = tir_mm * (1.0 - math.cos(off))
        part = Component(
            over / math.sqrt(12.0),
            shift=-over / 2.0,
            one_sided=True,
            distribution=RECTANGULAR,
        )
    else:
        change = max(abs(math.cos(set_to) - math.cos(set_to + sign * off)) for sign in (1.0, -1.0))
        part = Component(tir_mm / math.cos(set_to) * change / math.sqrt(3.0), distribution=RECTANGULAR)
    return BudgetLine(BY_EYE, LineOrigin.DEFAULT, part)
