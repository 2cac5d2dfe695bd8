"""In which order bolts are tightened, as text and as JSON; the keys are a promise."""

from collections.abc import Sequence
from typing import Any

from analysis.correction import TorqueStep
from analysis.units import format_count
from logger.reports.phrases import Report
from logger.reports.to_json import to_json

MAKER = "The maker's manual gives bolts, thread hand, torque and preload; local rules may ask for a licence."


def as_json(steps: Sequence[TorqueStep]) -> dict[str, Any]:
    """Return the object of ``torque``."""
    return to_json({"steps": [{"torque": step.torque, "order": step.order} for step in steps]})


def as_text(steps: Sequence[TorqueStep], thread: str) -> Report:
    """Return the text of ``torque``; ``thread`` is right or left."""
    bolts = len(steps[0].order)
    turning = "clockwise" if thread == "right" else "counter-clockwise"
    return Report(
        f"{bolts} bolts in {format_count(len(steps), 'step')}, criss-cross; bolt 1 at the "
        f"mark, tighten {turning} "
        f"({thread}-hand thread).",
        rows=tuple(f"{step.torque}: {' '.join(map(str, step.order))}" for step in steps),
        notes=(MAKER,),
    )
