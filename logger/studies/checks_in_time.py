"""Checks of a check standard in time, held against limits that were fixed before them."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from analysis.measurands import CheckBaseline, check_baseline
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


@dataclass(frozen=True, slots=True)
class CheckChart:
    """Checks, oldest first."""

    baseline: CheckBaseline
    points: tuple[CheckPoint, ...]
    without_vector: tuple[StoredSweep, ...]
    """Whose angles count from no mark, or that hold no result: they tell of no side."""

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
    sweeps: Sequence[StoredSweep], marked: Collection[str], standard: StandardEntry
) -> CheckChart:
    """Return checks held against the limits of their standard."""
    baseline = CheckBaseline(
        complex(standard.mean_cos_mm, standard.mean_sin_mm), standard.s_mm, standard.n, standard.alpha
    )
    of_baseline = set(standard.baseline)
    last = max((one.started for one in sweeps if one.recording_id in of_baseline), default="")
    points = list[CheckPoint]()
    without = list[StoredSweep]()
    for one in sweeps:
        z = _vector(one, marked)
        if z is None:
            without.append(one)
            continue
        distance = baseline.distance(z)
        older = one.recording_id in of_baseline or one.started <= last
        points.append(CheckPoint(one, z, distance, not older and distance > baseline.limit, older))
    return CheckChart(baseline, tuple(points), tuple(without))


def _vector(sweep: StoredSweep, marked: Collection[str]) -> complex | None:
    return first_order_of(sweep) if sweep.recording_id in marked else None
