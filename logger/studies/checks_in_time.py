"""Checks of a check standard in time, held against limits that were fixed before them."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType

from analysis.measurands import (
    CheckBaseline,
    CheckRepeats,
    check_baseline,
    pooled_repeats,
    scatter_of_repeats,
)
from analysis.store import StandardEntry, StoredSweep


@dataclass(frozen=True, slots=True)
class CheckPoint:
    """One check."""

    sweep: StoredSweep
    z_mm: complex
    """First order from the mark."""
    distance: float
    """Squared, in units of the scatter."""
    out: bool
    in_baseline: bool
    """The limits were fixed from it, or it is older: it is shown and not judged."""
    repeats_s_mm: float | None = None
    """Scatter of one component of its turns; None of fewer than two."""
    repeats_limit_mm: float | None = None
    """Over which its turns scatter more than those of the baseline; None where that has none."""

    @property
    def wide(self) -> bool:
        """True where its turns scatter more: told, and not what decides."""
        s, limit = self.repeats_s_mm, self.repeats_limit_mm
        return s is not None and limit is not None and s > limit


@dataclass(frozen=True, slots=True)
class CheckChart:
    """Checks, oldest first."""

    baseline: CheckBaseline
    points: tuple[CheckPoint, ...]
    without_vector: tuple[StoredSweep, ...]
    """Whose angles count from no mark, or that hold no result: they tell of no side."""
    repeats: CheckRepeats | None = None
    """Of the checks that the limits were fixed from."""

    @property
    def judged(self) -> tuple[CheckPoint, ...]:
        """Those that were measured after the limits were fixed."""
        return tuple(one for one in self.points if not one.in_baseline)


def first_order_of(sweep: StoredSweep) -> complex | None:
    """Return the first order of a stored result, mm; None where it holds none."""
    orders = ((sweep.result or {}).get("pooled") or {}).get("orders") or ()
    first = next((one for one in orders if one.get("n") == 1), None)
    return None if first is None else complex(first["cos_mm"], first["sin_mm"])


def fixed_from(sweeps: Sequence[StoredSweep], marked: Collection[str], made: str) -> StandardEntry:
    """Return limits fixed from these checks of one part at one stage; ``marked`` count from a mark.

    Raises NotDecidable where they are too few.
    """
    known = [(one, z) for one in sweeps if (z := _vector(one, marked)) is not None]
    found = check_baseline(
        [z for _, z in known], [datetime.fromisoformat(one.started).date() for one, _ in known]
    )
    return StandardEntry(
        part=known[0][0].part,
        serial=known[0][0].serial,
        stage=known[0][0].stage,
        baseline=[one.recording_id for one, _ in known],
        n=found.n,
        mean_cos_mm=found.mean_mm.real,
        mean_sin_mm=found.mean_mm.imag,
        s_mm=found.s_mm,
        dof=found.dof,
        alpha=found.alpha,
        made=made,
    )


def check_chart(
    sweeps: Sequence[StoredSweep],
    marked: Collection[str],
    standard: StandardEntry,
    turns_mm: Mapping[str, Sequence[complex]] = MappingProxyType({}),
) -> CheckChart:
    """Return checks held against the limits of their standard.

    ``turns_mm``: first order of the turns of each, by its recording.
    """
    baseline = CheckBaseline(
        complex(standard.mean_cos_mm, standard.mean_sin_mm), standard.s_mm, standard.n, standard.alpha
    )
    of_baseline = set(standard.baseline)
    last = max((one.started for one in sweeps if one.recording_id in of_baseline), default="")
    scatters = {key: found for key, each in turns_mm.items() if (found := scatter_of_repeats(each))}
    repeats = pooled_repeats([scatters[key] for key in standard.baseline if key in scatters])
    points = list[CheckPoint]()
    without = list[StoredSweep]()
    for one in sweeps:
        z = _vector(one, marked)
        if z is None:
            without.append(one)
            continue
        distance = baseline.distance(z)
        older = one.recording_id in of_baseline or one.started <= last
        s_mm, dof = scatters.get(one.recording_id, (None, 0))
        limit = repeats.limit_mm(dof) if repeats is not None and dof else None
        out = not older and distance > baseline.limit
        points.append(CheckPoint(one, z, distance, out, older, s_mm, limit))
    return CheckChart(baseline, tuple(points), tuple(without), repeats)


def _vector(sweep: StoredSweep, marked: Collection[str]) -> complex | None:
    return first_order_of(sweep) if sweep.recording_id in marked else None
