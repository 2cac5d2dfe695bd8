"""Stored turns counted by what they are of: a part, a job, a month."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.store import HistoryRow, StoredSweep

GROUPED_BY = ("part", "job", "month")


@dataclass(frozen=True, slots=True)
class HistoryGroup:
    """What is stored of one part, of one job or of one month."""

    of: str
    recordings: int
    turns: int
    states: Counter[str | None]
    """Recordings by the state of the newest analysis."""
    first: str
    last: str
    """When its first and last recording were begun."""


def grouped(by: str, sweeps: Sequence[StoredSweep], rows: Sequence[HistoryRow]) -> list[HistoryGroup]:
    """Return recordings, and how many turns they have, by ``part``, ``job`` or ``month``, in that order."""
    turns = Counter(row.recording_id for row in rows)
    groups: dict[str, list[StoredSweep]] = {}
    for one in sweeps:
        groups.setdefault(_key(by, one), []).append(one)
    return [
        HistoryGroup(
            of,
            len(mine),
            sum(turns[one.recording_id] for one in mine),
            Counter(one.state for one in mine),
            mine[0].started,
            mine[-1].started,
        )
        for of, mine in sorted(groups.items())
    ]


def _key(by: str, one: StoredSweep) -> str:
    if by == "month":
        return one.started[:7]
    if by == "job":
        return one.job
    return f"{one.part} {one.serial}".strip()
