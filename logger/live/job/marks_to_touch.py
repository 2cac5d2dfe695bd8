"""Which marks a step of a job asks for: those that a remount, another axis or a restart has made void."""

from dataclasses import dataclass

from analysis.setup import MarkKind, MarkSide, Setup
from logger.job import Step, StepSweep


@dataclass(frozen=True)
class MarksTouched:
    """Which marks still hold."""

    boots: int = 1
    """Boot of the board that is heard now, counted from 1."""
    arbor_boot: int | None = None
    """Boot in which the arbor's mark was touched on this lathe; None where it was not."""
    marked: bool = False
    """A mark was touched in this boot."""
    by_index: bool = False
    """Index pulses tell the angle: no count can be marked."""


def marks_for(step: Step, setup: Setup, touched: MarksTouched) -> tuple[MarkSide, ...]:
    """Return the marks to be touched before a step's sweep, the next one first.

    With an encoder marks tell the index angle.
    """
    if step.takes is StepSweep.PUSH_PULL or touched.by_index:
        return ()
    if not step.lathe:
        return () if setup.mark == MarkKind.INDEX else (MarkSide.PART,)
    if step.mark_on == MarkSide.ARBOR:
        return (MarkSide.ARBOR,)
    if touched.arbor_boot != touched.boots:
        return MarkSide.PART, MarkSide.ARBOR
    loosened = step.key != "after-cut" or not touched.marked
    return (MarkSide.PART,) if loosened else ()


def marks_after_break(step: Step) -> tuple[MarkSide, ...]:
    """Return the marks to be touched after the sweep broke or the board restarted."""
    if step.mark_on == MarkSide.ARBOR:
        return (MarkSide.ARBOR,)
    return (MarkSide.PART, MarkSide.ARBOR) if step.lathe else (MarkSide.PART,)
