"""What belongs to a batch and is no row of it: checks of the standard, parts put on again, parts left out."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from analysis.units import format_length
from logger.batch import CheckVerdict, Repeat, SkippedPart, scatter_mm
from logger.page.shown import shown

_MOST_LISTED = 12


@dataclass(frozen=True)
class Beside:
    """All of it."""

    checks: tuple[CheckVerdict, ...] = ()
    """In the order made."""
    suspects: Mapping[str, str] = field(default_factory=dict)
    """Why a part hangs on a check that was out, by serial."""
    repeats: Mapping[str, Repeat] = field(default_factory=dict)
    """Parts that were measured a second time, by serial."""
    skipped: tuple[SkippedPart, ...] = ()
    """Parts that were left out and that no sweep has measured."""


NOTHING_BESIDE = Beside()


def sentences(beside: Beside, unit: str) -> list[str]:
    """Return what the summary says of it."""
    said = []
    if beside.checks:
        said.append(f"Checks of the standard: {_few([one.words for one in beside.checks])}.")
    if beside.suspects:
        reasons = dict.fromkeys(beside.suspects.values())
        said.append(
            f"SUSPECT, {len(beside.suspects)} of the parts: {_few(list(beside.suspects))}. They were "
            f"measured since the last good check before one that was out, or before the next good one "
            f"({_few(list(reasons))}). A person decides what follows."
        )
    if beside.repeats:
        pairs = list(beside.repeats.values())
        scatter = scatter_mm(pairs)
        more = ""
        if scatter is not None:
            dof = 2 * sum(one.change_mm is not None for one in pairs)
            more = (
                f" From mounting to mounting one component of order 1 scatters by "
                f"{format_length(scatter, unit)} (standard deviation, {dof} degrees of freedom)."
            )
        said.append(f"Taken off and measured again: {_few([one.words(unit) for one in pairs])}.{more}")
    if beside.skipped:
        left = [f"{one.serial} ({one.reason})" for one in beside.skipped]
        said.append(f"Left out, {len(left)}: {_few(left)}.")
    return said


def _few(words: Sequence[str]) -> str:
    more = f"; and {len(words) - _MOST_LISTED} more" if len(words) > _MOST_LISTED else ""
    return "; ".join(shown(one, 140) for one in words[:_MOST_LISTED]) + more
