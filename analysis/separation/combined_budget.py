"""What a budget's lines and a late gauge do to a curve that is put together from several sweeps.

Order 1 carries the lines: what moves a sweep along its own wobble moves the combined one by its cosine, what
turns a sweep moves the combined one by its sine (own derivation, first order). Knows no limit.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from analysis.numerics import RECTANGULAR, Complexes, Component, UncertainNumber, exact
from analysis.results import SweepResult
from analysis.setup import Quantity
from analysis.sweep import LAG_NOT_KNOWN
from analysis.uncertainty import LAG_OF_GAUGE, BudgetLine, LineOn, LineOrigin

BETWEEN_SWEEPS = "delay of the gauge between sweeps"
_ANGLE_NOT_TOLD_RAD = math.radians(10.0)
"""As for one sweep: a declared delay whose own uncertainty turns the part by more tells no angle."""
_STEPS = 9
"""So many delays from none to the latest are tried."""
_NOTHING_MM = 1e-5
_NOTHING_DEG = 0.05
"""What sweeps at one speed leave between them, since no hand and no drive turns twice alike."""


@dataclass(frozen=True, eq=False)
class SweepShare:
    """One sweep as it goes into a combined curve."""

    z_mm: Complexes
    """Its orders in the frame of that curve, times their factors, shape (H,)."""
    weight: float
    """Size of the factor of order 1: by how much a length of the sweep counts."""
    result: SweepResult
    mirrored: bool = False
    """True where it was seen from the other end than the curve is."""

    @property
    def may_turn_rad(self) -> float:
        """By how much a delay that nothing tells may have turned it on, signed in the curve's frame."""
        return -self.result.lag.may_turn_rad if self.mirrored else self.result.lag.may_turn_rad

    @property
    def u_turned_rad(self) -> float:
        """The same of a declared delay, one standard uncertainty; one found in the sweep is its own."""
        lag = self.result.lag
        if not lag.known or lag.found:
            return 0.0
        u_rad = lag.u_s * lag.speed_rad_s
        return -u_rad if self.mirrored else u_rad


@dataclass(frozen=True)
class LateGauge:
    """What a delay common to all sweeps of one gauge does to a combined curve."""

    common_deg: float = 0.0
    """By how much a delay that nothing tells may have turned all sweeps on together, signed as they turn."""
    latest_s: float = 0.0
    """That delay; 0 where every sweep's is told."""
    lines: tuple[BudgetLine, ...] = ()
    """What it may change of the TIR, mm; none where the sweeps are turned alike."""
    lines_of_first: tuple[BudgetLine, ...] = ()
    """The same of the TIR of order 1."""
    angle: tuple[tuple[str, Component], ...] = ()
    """What it does to the high side of order 1, degrees."""

    def of(self, quantity: str) -> tuple[BudgetLine, ...]:
        """Return the lines on the TIR, or on what has order 1 alone."""
        return self.lines if quantity == Quantity.TIR else self.lines_of_first

    def on_angle(self, high_side: UncertainNumber) -> UncertainNumber:
        """Return the high side of order 1 of the combined curve, degrees, as the delay leaves it."""
        for name, part in self.angle:
            high_side = high_side.with_part(name, part)
        return high_side


def lines_of_shares(shares: Sequence[SweepShare]) -> tuple[BudgetLine, ...]:
    """Return the lines of a combined curve's TIR from those of its sweeps, the gauge's delay left aside.

    Spreads join in quadrature, each times its sweep's weight. What stands on one side in a sweep moves the
    combined curve by the cosine between the two wobbles: what hides height on the lathe may add to what is
    left, or take from it. What turns a sweep moves it by 2 A sin times the angle.
    """
    whole = complex(sum(complex(one.z_mm[0]) for one in shares))
    lines: list[BudgetLine] = []
    for one in shares:
        toward = complex(one.z_mm[0]) * (whole.conjugate() / abs(whole) if whole else 1.0)
        along = toward.real / abs(toward) if toward else 0.0
        for line in one.result.unseen:
            if line.source == LAG_OF_GAUGE:
                continue
            if line.on is LineOn.ANGLE:
                u_mm = 2.0 * abs(toward.imag) * math.radians(line.part.u)
                turning = Component(u_mm, line.part.dof)
                lines.append(BudgetLine(f"{line.source}, angle", line.origin, turning))
            elif line.part.one_sided:
                lines.append(_on_its_side(line.times(one.weight, one.weight * along), along))
            else:
                lines.append(line.times(one.weight, one.weight * along))
    return _merged(lines)


def _on_its_side(line: BudgetLine, along: float) -> BudgetLine:
    """Return a one-sided line of one sweep on the side of the combined TIR that it moves."""
    below = line.part.shift < 0.0 or (line.part.shift == 0.0 and along < 0.0)
    if not below:
        return line
    if line.part.shift == 0.0:  # without a shift of its own it has no side to be told by: it takes both
        return replace(line, part=replace(line.part, one_sided=False))
    return replace(line, source=f"{line.source}, below")


def _merged(lines: Iterable[BudgetLine]) -> tuple[BudgetLine, ...]:
    """Return one line a source: spreads in quadrature, shifts added up; the larger one tells whence."""
    found: dict[str, BudgetLine] = {}
    for line in lines:
        so_far = found.get(line.source)
        if so_far is None:
            found[line.source] = line
            continue
        part = Component(
            math.hypot(so_far.part.u, line.part.u),
            min(so_far.part.dof, line.part.dof),
            so_far.part.shift + line.part.shift,
            so_far.part.one_sided and line.part.one_sided,
        )
        larger = max(so_far, line, key=lambda one: one.part.u)
        found[line.source] = replace(larger, part=part)
    return tuple(found.values())


def late_gauge(shares: Sequence[SweepShare]) -> LateGauge:
    """Return what the delay of the gauge leaves open, alike for all sweeps that one gauge (by number) took.

    A delay turns each sweep by itself times the speed: at one speed all alike, which leaves every TIR and
    turns every angle; at several speeds the curve changes with it. The whole range from no delay to the
    latest that none of the sweeps rules out is looked at, and lies one-sidedly about the value.
    """
    timed = [one for one in shares if one.may_turn_rad != 0.0 or one.u_turned_rad != 0.0]
    gauges = dict.fromkeys(_gauge(one) for one in timed)
    each = [
        _of_one_gauge(
            [one for one in timed if _gauge(one) == gauge],
            [one for one in shares if one not in timed or _gauge(one) != gauge],
        )
        for gauge in gauges
    ]
    if len(each) == 1:
        return each[0]
    return LateGauge(
        latest_s=max((one.latest_s for one in each), default=0.0),
        lines=_merged(line for one in each for line in one.lines),
        lines_of_first=_merged(line for one in each for line in one.lines_of_first),
        angle=tuple(
            (f"{name}, gauge {k}", part) for k, one in enumerate(each, 1) for name, part in one.angle
        ),
    )


def _gauge(one: SweepShare) -> str:
    """Return the gauge's number; sweeps that name none are taken as of one gauge."""
    return str(one.result.setup.text.get("gauge_id", ""))


def _of_one_gauge(mine: Sequence[SweepShare], others: Sequence[SweepShare]) -> LateGauge:
    unknown = [one for one in mine if one.may_turn_rad != 0.0]
    declared = [one for one in mine if one.may_turn_rad == 0.0]
    lines: tuple[list[BudgetLine], list[BudgetLine]] = ([], [])
    angle: list[tuple[str, Component]] = []
    latest_s = min((one.result.lag.most_s for one in unknown), default=0.0)
    may_rad = [one.may_turn_rad * latest_s / one.result.lag.most_s for one in unknown]
    if unknown:
        still = [one.z_mm for one in (*declared, *others)]
        seen = [
            _measures([*_turned_back(unknown, may_rad, share), *still])
            for share in np.linspace(0.0, 1.0, _STEPS)
        ]
        for k, of_quantity in enumerate(lines):
            of_quantity.extend(_one_sided([one[k] - seen[0][k] for one in seen]))
        angle += _of_angle([_apart_deg(one[2], seen[0][2]) for one in seen])
    if declared:
        u_rad = [one.u_turned_rad for one in declared]
        still = [one.z_mm for one in (*unknown, *others)]
        on, back = (_measures([*_turned_back(declared, u_rad, share), *still]) for share in (-1.0, 1.0))
        for k, of_quantity in enumerate(lines):
            u_mm = abs(on[k] - back[k]) / 2.0
            if u_mm > _NOTHING_MM:
                of_quantity.append(BudgetLine(BETWEEN_SWEEPS, LineOrigin.SET_UP, Component(u_mm)))
        angle_known = max(abs(each) for each in u_rad) <= _ANGLE_NOT_TOLD_RAD
        u_deg = abs(_apart_deg(on[2], back[2])) / 2.0 if angle_known else 180.0
        angle.append((LAG_OF_GAUGE, Component(u_deg)))
    alike = unknown and not declared and not others and not any(lines)
    return LateGauge(
        math.degrees(may_rad[0]) if alike else 0.0, latest_s, tuple(lines[0]), tuple(lines[1]), tuple(angle)
    )


def _turned_back(shares: Sequence[SweepShare], by_rad: Sequence[float], share: float) -> list[Complexes]:
    """Return the orders of sweeps turned back, each by this share of its own angle."""
    return [
        one.z_mm * np.exp(-1j * np.arange(1, len(one.z_mm) + 1) * share * rad)
        for one, rad in zip(shares, by_rad, strict=True)
    ]


def _measures(each_mm: Sequence[Complexes]) -> tuple[float, float, float]:
    """Return TIR of all orders and of order 1 (mm) and the high side (degrees) of curves put together."""
    whole = exact(np.sum(each_mm, axis=0))
    return whole.extremes.tir_mm, whole.tir_first_mm, whole.high_side_deg


def _apart_deg(deg: float, from_deg: float) -> float:
    return (deg - from_deg + 180.0) % 360.0 - 180.0


def _one_sided(moved_mm: Sequence[float]) -> list[BudgetLine]:
    """Return what a delay anywhere in its range may add and take off: half of it, and its spread."""
    lines = []
    for name, most in (
        (f"{BETWEEN_SWEEPS}, above", max(moved_mm)),
        (f"{BETWEEN_SWEEPS}, below", min(moved_mm)),
    ):
        if abs(most) > _NOTHING_MM:
            part = Component(
                abs(most) / math.sqrt(12.0),
                shift=most / 2.0,
                one_sided=True,
                distribution=RECTANGULAR,
            )
            lines.append(BudgetLine(name, LineOrigin.DEFAULT, part))
    return lines


def _of_angle(turned_deg: Sequence[float]) -> list[tuple[str, Component]]:
    """Return how far the truth may lie to either side of an angle that was told without any delay."""
    ends = ((LAG_NOT_KNOWN, min(turned_deg)), (f"{LAG_NOT_KNOWN}, above", max(turned_deg)))
    return [
        (name, Component(0.0, shift=deg, one_sided=True)) for name, deg in ends if abs(deg) > _NOTHING_DEG
    ]
