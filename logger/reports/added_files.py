"""Recordings that were put into the store, or were there already; the keys are a promise."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from logger.reports.phrases import STATE_WORDS, Report
from logger.reports.to_json import to_json


@dataclass(frozen=True)
class AddedFile:
    """One recording that the store now has."""

    file: str
    recording_id: str
    sha256: str
    turns: int
    """How many of its turns are stored."""
    state: str | None
    """``within``, ``over`` or ``undecided``; None = nothing was decided."""
    added: bool
    """False where the store had it already."""


def as_json(files: Sequence[AddedFile]) -> dict[str, Any]:
    """Return the object of ``store add``."""
    return to_json(
        {
            "files": [
                {
                    "file": one.file,
                    "recording_id": one.recording_id,
                    "sha256": one.sha256,
                    "turns": one.turns,
                    "state": one.state,
                    "added": one.added,
                }
                for one in files
            ]
        }
    )


def as_text(files: Sequence[AddedFile], where: str) -> Report:
    """Return the text of ``store add`` to the store ``where``."""
    added = sum(one.added for one in files)
    others = "" if added == len(files) else "; what was there already stays as it is"
    return Report(
        f"{added} of {len(files)} recordings added to {where}{others}",
        rows=tuple(_row(one) for one in files),
    )


def _row(one: AddedFile) -> str:
    state = "no decision" if one.state is None else STATE_WORDS[one.state]
    return f"{one.file}: {one.turns} turns, {state}{'' if one.added else ' (was there)'}"
