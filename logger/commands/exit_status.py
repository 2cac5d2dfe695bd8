"""How a command ends: its exit status, the JSON object it prints, the recording that an error leaves."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from analysis.errors import FullturnError

STATUS_OF_STATE = {"within": 0, "over": 1, "undecided": 3}
WORST_FIRST = (2, 4, 5, 1, 3, 0)


def status_of(state: str | None) -> int:
    """Return the exit status of a decision's state; None = no limit was given."""
    return 0 if state is None else STATUS_OF_STATE[state]


def worst_status(statuses: Sequence[int]) -> int:
    """Return the status that stands for several: 2, 4, 5, 1, 3, 0 in this order."""
    return next(status for status in WORST_FIRST if status in (*statuses, 0))


def print_json(value: Any) -> None:
    """Print one JSON object; a not-a-number is a fault of the program and raises."""
    click.echo(json.dumps(value, allow_nan=False, ensure_ascii=False))


def with_recording_path(error: FullturnError, path: Path) -> FullturnError:
    """Return the error with the name of the recording that it has left, which some name themselves."""
    words = str(error)
    return type(error)(words if str(path) in words else f"{words}; what came is kept in {path}")
