"""The order in which bolts are tightened, step by step."""

import re

from analysis.correction import torque_steps
from logger.commands.emitting import emit_plain
from logger.commands.options import OutputOptions
from logger.reports import torque as report


def run(bolts: int, steps: str, thread: str, output: OutputOptions) -> int:
    """Print the order for every step."""
    found = torque_steps(bolts, split_steps(steps))
    emit_plain(output, lambda: report.as_json(found), lambda: report.as_text(found, thread))
    return 0


def split_steps(text: str) -> list[str]:
    """Split ``20,40,60 Nm`` into steps; a unit written once at the end is of all of them."""
    steps = [step.strip() for step in text.split(",") if step.strip()]
    unit = steps[-1].lstrip("0123456789.+- ") if steps else ""
    return [
        f"{step} {unit}" if unit and unit != "%" and re.fullmatch(r"[+-]?\d+([.,]\d+)?", step) else step
        for step in steps
    ]
