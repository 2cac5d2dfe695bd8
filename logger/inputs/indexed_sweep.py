"""Sweeps for commands that put several together: ``FILE`` or ``FILE@DEG``, analysed, and where the part sat.

The index angle alpha of a sweep comes from its two mark events, from ``@DEG`` or from the set-up; where more
than one is there they must agree to half a degree.
"""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from analysis.capture import Capture, left_out_by_person
from analysis.capture.events import MarkTouched, MarkUndone
from analysis.errors import BadInput
from analysis.numerics import Complexes, OrderVectors
from analysis.results import CheckState, SweepResult
from analysis.separation import SweepShare
from analysis.setup import MarkSide, Stage
from analysis.sweep import DECIDED_IN_A_SWEEP, ON_THE_CUTTING_MOUNT, Options, analyse
from analysis.units import parse_angle
from logger.inputs.loading import LoadedSweep, load_sweep
from logger.inputs.origin import UNKNOWN_ORIGIN, SweepOrigin

AGREE_DEG = 0.5
TOUCH_THE_MARK = (
    "touch the arbor's mark too (a mark event on the arbor), say where the part's mark sits on the arbor "
    "with --set index_angle=DEG, or write FILE@DEG"
)


@dataclass(frozen=True)
class AnalysedSweep:
    """One analysed sweep with the place its part sat at."""

    name: str
    """As typed, without @DEG."""
    capture: Capture
    result: SweepResult
    index_deg: float | None
    """Alpha, degrees on the arbor; None where nothing tells."""
    origin: SweepOrigin = UNKNOWN_ORIGIN

    @cached_property
    def with_all_counted_in(self) -> SweepResult | None:
        """What it says with everything that a person left out counted in; None where nothing was left out."""
        left_out = left_out_by_person(self.capture.events)
        if left_out is None:
            return None
        return analyse(replace(self.capture, events=left_out.events), _options(self.origin))

    @property
    def vectors(self) -> OrderVectors:
        """Orders as the sweep reads them, from its own zero."""
        assert self.result.vectors is not None
        return self.result.vectors

    @property
    def step_mm(self) -> float:
        """Step of the gauge, as the budget of this sweep takes it."""
        return self.capture.resolution_mm or self.result.gauge.resolution_mm

    @property
    def refused(self) -> list[str]:
        """Sentences of refused checks."""
        return [
            f"{self.name}: {check.name}: {check.text}"
            for check in self.result.checks
            if check.state is CheckState.REFUSED
        ]

    @property
    def label(self) -> str:
        """The name, with what has to be said wherever the sweep appears."""
        return (
            f"{self.name} ({ON_THE_CUTTING_MOUNT})"
            if self.result.setup.stage == Stage.AFTER_CUT
            else self.name
        )

    def from_mark(self) -> OrderVectors:
        """Return the orders from the sweep's mark; BadInput where its angles begin at no mark."""
        if not self.result.angle_source.has_mark:
            raise BadInput(
                f"{self.name}: no common mark: a steady spin counts its angles from wherever it began; sweep "
                "it with an encoder or an index mark"
            )
        return self.vectors

    def on_part(self, like: "AnalysedSweep | None" = None) -> OrderVectors:
        """Return the orders in part angle, seen from the end ``like`` was seen from."""
        found = self.from_mark()
        if self.result.setup.mark_on == MarkSide.ARBOR:
            found = found.turned(-math.radians(self.known_index()))
        return found.mirrored() if self._other_end(like) else found

    def on_arbor(self, like: "AnalysedSweep | None" = None) -> tuple[OrderVectors, float]:
        """Return the orders in arbor angle and alpha (degrees), seen from the end ``like`` was seen from."""
        found = self.from_mark()
        alpha = self.known_index()
        if self.result.setup.mark_on == MarkSide.PART:
            found = found.turned(math.radians(alpha))
        return (found.mirrored(), -alpha) if self._other_end(like) else (found, alpha)

    def as_share(self, z_mm: Complexes, factor: complex, like: "AnalysedSweep") -> SweepShare:
        """Return it as it goes into a curve that is seen from the end ``like`` was seen from.

        Parameters: its orders in the curve's frame, times their factors (mm); the factor of order 1.
        """
        return SweepShare(z_mm, abs(factor), self.result, self._other_end(like))

    def reach_of_high_point(self, like: "AnalysedSweep") -> tuple[float, float]:
        """Return how far before and past its high point the truth may lie (95 %), as ``like`` was seen."""
        point = self.result.pooled.high_point
        before, past = (end - point.value for end in point.interval())
        return (-past, -before) if self._other_end(like) else (before, past)

    def known_index(self) -> float:
        """Return alpha; BadInput with what to touch where nothing tells it."""
        if self.index_deg is None:
            raise BadInput(
                f"{self.name}: nothing tells where the part sat on the arbor (index angle): {TOUCH_THE_MARK}"
            )
        return self.index_deg

    def _other_end(self, like: "AnalysedSweep | None") -> bool:
        return like is not None and like.result.setup.declared_end != self.result.setup.declared_end


def split_at(text: str) -> tuple[str, float | None]:
    """Split ``FILE@DEG``: the last @ counts, and only with a number after it.

    Raises BadInput for an @ with nothing after it.
    """
    name, at, deg = text.rpartition("@")
    if not at:
        return text, None
    if re.fullmatch(r"[+-]?\d+([.,]\d+)?(deg)?", deg.strip()):
        return name, parse_angle(deg, f"{text!r}: index angle")
    if not deg.strip():
        raise BadInput(f"{text!r} ends in @ without degrees: write FILE@DEG")
    return text, None


def analysed_sweep(text: str, override: Mapping[str, str], *, seed: int = 1) -> AnalysedSweep:
    """Return the analysed sweep that ``FILE`` or ``FILE@DEG`` stands for."""
    name, deg = split_at(text)
    loaded = load_sweep(name, override, seed=seed)
    return analysed(loaded, name, deg)


def analysed_sweeps(
    texts: Sequence[str], override: Mapping[str, str], *, seed: int = 1
) -> list[AnalysedSweep]:
    """Return several, in the order typed."""
    return [analysed_sweep(text, override, seed=seed) for text in texts]


def analysed(loaded: LoadedSweep, name: str, deg: float | None = None) -> AnalysedSweep:
    """Analyse a loaded capture; a limit no sweep decides (a thickness) is left aside."""
    capture = loaded.capture
    limit = capture.setup.limit
    if limit is not None and limit.quantity not in DECIDED_IN_A_SWEEP:
        capture = replace(capture, setup=replace(capture.setup, limit=None))
    result = analyse(capture, _options(loaded.origin))
    return AnalysedSweep(name, capture, result, index_of(capture, name, deg), loaded.origin)


def _options(origin: SweepOrigin) -> Options:
    return Options(measured_on=origin.measured_on(date.today()))


def index_of(capture: Capture, name: str, typed_deg: float | None) -> float | None:
    """Return alpha in degrees from marks, ``@DEG`` or set-up; BadInput where they disagree."""
    known = [
        (what, deg)
        for what, deg in (
            ("marks", _of_marks(capture)),
            ("@", typed_deg),
            ("index_angle", capture.setup.index_angle_deg),
        )
        if deg is not None
    ]
    for what, deg in known[1:]:
        apart = abs((deg - known[0][1] + 180.0) % 360.0 - 180.0)
        if apart > AGREE_DEG:
            raise BadInput(
                f"{name}: index angle {known[0][1]:g} deg by {known[0][0]} and {deg:g} deg by {what}: they "
                "have to agree to 0.5 deg; correct one of them"
            )
    return known[0][1] if known else None


def _of_marks(capture: Capture) -> float | None:
    counts: dict[MarkSide, int] = {}
    for one in capture.events:
        match one.event:
            case MarkTouched(on, count):
                counts[on] = count
            case MarkUndone(on):
                counts.pop(on, None)
    if len(counts) < len(MarkSide) or not capture.counts_per_turn:
        return None
    steps = (counts[MarkSide.PART] - counts[MarkSide.ARBOR]) * capture.setup.sense
    return steps * 360.0 / capture.counts_per_turn % 360.0


def one_part(sweeps: Sequence[AnalysedSweep]) -> None:
    """Raise BadInput where the sweeps are of parts with different names."""
    parts: dict[str, str] = {}
    for one in sweeps:
        if one.result.setup.part:
            parts.setdefault(one.result.setup.part, one.name)
    if len(parts) > 1:
        known = "; ".join(f"{name} is of {part!r}" for part, name in parts.items())
        raise BadInput(f"sweeps of different parts: {known}; give sweeps of one part (or correct part)")


def one_surface(sweeps: Sequence[AnalysedSweep]) -> str:
    """Return the surface all sweeps are of; BadInput where they differ."""
    found = {one.result.setup.surface for one in sweeps}
    if len(found) > 1:
        raise BadInput(
            f"sweeps of different surfaces ({', '.join(sorted(found))}): one surface at a time"
        )  # fmt: skip
    return found.pop()


def clock_apart_deg(sweep: AnalysedSweep) -> tuple[float, bool]:
    """Return degrees from the tip's clock place to the tool's, and whether both were entered."""
    tip, tool = sweep.result.setup.tip_clock, sweep.result.setup.tool_clock
    if tip is None or tool is None:
        return 0.0, False
    return (tool - tip) % 12 * 30.0, True
