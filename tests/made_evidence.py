"""Evidence made for tests of checks: a sweep about which nothing is to be said, and sweeps with one thing wrong."""

from dataclasses import dataclass, field, fields, replace
from typing import Any

import numpy as np
from made_sweeps import capture, made, wobble

from analysis.capture import AngleSource
from analysis.capture.events import EndFloatMeasured, TimedEvent
from analysis.capture.samples import Capture, IndexPulses, LinkCounts
from analysis.checks.evidence import Deviation, Lobes, Turning
from analysis.checks.registry import run_checks
from analysis.diagnosis.bumps import Bump
from analysis.diagnosis.gauge import GaugeFacts
from analysis.diagnosis.hysteresis import Hysteresis
from analysis.diagnosis.jumps import Jump
from analysis.diagnosis.lag import GaugeLag
from analysis.diagnosis.slip import Slip
from analysis.diagnosis.standstill import Standstill
from analysis.results import Check, CheckState, TurnResult

LIMIT_MM = 0.050
NOTHING = Deviation(0.0)
GAUGE = GaugeFacts(rate_hz=80.0, resolution_mm=0.0, held_fraction=0.0, max_rpm=60 * 80.0 / 39)


def turn(**changed: Any) -> TurnResult:
    plain = TurnResult(
        turn=0, direction=1, samples=480, values=480, coverage=1.0, largest_gap_deg=0.75, rpm=10.0,
        tir_raw_mm=0.03, tir_fit_mm=0.03, tir_first_mm=0.03, high_point_deg=63.0,
        vectors_mm=np.array([0.015 + 0j]), start_s=0.0, end_s=6.0,
    )  # fmt: skip
    return replace(plain, **changed)


def turning(**changed: Any) -> Turning:
    three = [turn(turn=k, start_s=6.0 * k, end_s=6.0 * (k + 1)) for k in range(3)]
    return replace(Turning(three, 0, (), 1440, 0.3, 15, 0), **changed)


@dataclass(frozen=True)
class MadeEvidence:
    """Evidence as plain values."""

    capture: Capture = field(default_factory=lambda: capture(made(wobble(0.03)), 0.001))
    turning: Turning = field(default_factory=turning)
    gauge: GaugeFacts = GAUGE
    reference_mm: float = LIMIT_MM
    few_places: bool = False
    out_of_range_share: float = 0.0
    closure: Deviation | None = NOTHING
    drift_per_turn: Deviation | None = NOTHING
    repeat: Deviation = NOTHING
    bumps: tuple[Bump, ...] = ()
    standstills: tuple[Standstill, ...] = ()
    lobes: Lobes | None = None
    jump: Jump | None = None
    lag: GaugeLag = field(default_factory=GaugeLag)
    hysteresis: Hysteresis | None = None
    slip: Slip | None = None


def evidence(**changed: Any) -> MadeEvidence:
    """Return a sweep about which nothing is to be said but for what is changed, in its turning too."""
    of_turning = {one.name: changed.pop(one.name) for one in fields(Turning) if one.name in changed}
    return replace(MadeEvidence(), turning=turning(**of_turning), **changed)


def captured(**changed: Any) -> Capture:
    return replace(evidence().capture, **changed)


def linked(**counts: Any) -> MadeEvidence:
    return evidence(capture=captured(link=LinkCounts(**counts)))


def checked(given: MadeEvidence, name: str) -> Check:
    (found,) = [check for check in run_checks(given) if check.name == name]
    return found


def state(given: MadeEvidence, name: str) -> CheckState:
    return checked(given, name).state


def names(given: MadeEvidence) -> list[str]:
    return [check.name for check in run_checks(given)]


def pulses(*turned: float, direction: int = 1) -> IndexPulses:
    m = len(turned)
    return IndexPulses(
        np.linspace(0.0, 6.0 * m, m),
        2 * np.pi * np.array(turned),
        np.full(m, direction, np.int8),
        np.zeros(m, np.int16),
    )


def index_off(deg: float) -> MadeEvidence:
    return evidence(capture=captured(index=pulses(0.1, 1.1, 2.1 + deg / 360.0)))


def standstill(span_deg: float, *, at_extreme: bool) -> MadeEvidence:
    return evidence(standstills=(Standstill(100.0, span_deg, 40, at_extreme),))


def with_gap(deg: float) -> MadeEvidence:
    return evidence(turns=[turn(), turn(turn=1, largest_gap_deg=deg)])


def places_apart(deg: float) -> MadeEvidence:
    """A few places read one by one."""
    return evidence(
        capture=captured(angle_source=AngleSource.TYPED),
        few_places=True,
        turns=[turn(values=4, largest_gap_deg=deg)],
        together_gap_deg=deg,
    )


def end_float(mm: float) -> MadeEvidence:
    return evidence(capture=captured(events=(TimedEvent(None, EndFloatMeasured(mm)),)))


def with_speeds(*rpm: float) -> MadeEvidence:
    return evidence(turns=[turn(turn=k, rpm=one) for k, one in enumerate(rpm)])


def lost(share: float) -> MadeEvidence:
    return linked(frames=round(1e7 * (1 - share)), lost=round(1e7 * share))


def at_rate(values: float, rpm: float, *, more: float = 0.0, **changed: Any) -> MadeEvidence:
    """So many values a turn, and ``more``: a fraction keeps the gauge from beating with the turning."""
    rate = (values + more) * rpm / 60.0
    seen = [turn(turn=k, values=int(values), rpm=rpm) for k in range(2)]
    return evidence(turns=seen, gauge=GaugeFacts(rate, 0.001, 0.0, 60 * rate / 39), **changed)
