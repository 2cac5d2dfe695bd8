"""Stretches in which the gauge gave one and the same value although it should have moved.

A stuck gauge stands anywhere; a tip that lifted off or reached the end of its travel stands at the
extreme. A coarse gauge on a slow slope also repeats itself: only a stretch that chance does not explain
counts. Knows nothing of limits.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Floats, largest_gap_deg
from analysis.diagnosis.local_features import FORM_ORDERS, fit_form, form_columns
from analysis.numerics import normal_cdf

CHANCE = 1e-5
"""A stretch is suspicious when its chance, over the whole turn, is below this (a choice of ours)."""
LONG_TREAD_DEG = 10.0
"""Shorter treads of a gauge without noise are not looked at."""
MOST_ON_STAIRS = 20_000
"""Of more readings without noise evenly taken ones are looked at: each tread costs a fit."""
FEWEST_VALUES = 6
"""Fewer identical readings in a row are not looked at."""


@dataclass(frozen=True)
class Standstill:
    """One stretch of identical values."""

    start_deg: float
    span_deg: float
    values: int
    at_extreme: bool
    """True where the value is the highest or lowest of its turn and the part did not fall away from it."""


@dataclass(frozen=True)
class _Repeats:
    """Identical readings one after another, too many for what the rest of the turn repeats."""

    readings: NDArray[np.intp]
    """Indices into the whole sweep, in the order taken."""
    end: int
    """+1 where its value is the highest of its turn, -1 the lowest, 0 in between."""


def find_standstills(
    angle_rad: Floats,
    reading_mm: Floats,
    level_mm: Floats,
    turn: NDArray[np.int64],
    *,
    noise_mm: float,
    resolution_mm: float,
) -> list[Standstill]:
    """Return the stretches of a sweep in which the gauge stood still against all expectation.

    Parameters, shape (n,), in the order taken: unwrapped angle, readings, readings less drift, and the
    number of the turn each belongs to (growing). A stretch counts where neither the rest of its turn nor the
    part's form, fitted to all readings outside such stretches, with the gauge's noise and steps on it, would
    have kept one value for so long. Without noise every tread of the stairs is held against the form that
    all others tell.
    """
    noisy = noise_mm >= 0.5 * resolution_mm
    every = 1 if noisy else 1 + len(turn) // MOST_ON_STAIRS
    angle_rad, reading_mm, level_mm = (each[::every] for each in (angle_rad, reading_mm, level_mm))
    turn = turn[::every]
    numbers = np.unique(turn)
    starts = np.searchsorted(turn, numbers)
    runs: list[_Repeats] = []
    for low, high in zip(starts, [*starts[1:], len(turn)], strict=True):
        runs += _runs(reading_mm[low:high], int(low), resolution_mm, noisy=noisy)
    if not noisy:
        # Without noise every reading stands on a tread of stairs: a long one is worth a doubt, and the others
        # tell the form.
        runs = [run for run in runs if _span_deg(angle_rad, run) >= LONG_TREAD_DEG]
    if not runs:
        return []
    standstills = []
    for group in [runs] if noisy else _at_one_place(angle_rad, runs):
        if not noisy and 1 < len(numbers) <= len(group) and not any(run.end for run in group):
            continue  # a gauge does not stick at the same place on every turn: so the part is
        # A single turn may creep; across a tread at the mark creep and form cannot be told apart.
        creeping = noisy and len(numbers) == 1
        form, off_mm = _form_beside(angle_rad, level_mm, group, creeping, resolution_mm)
        noise = max(noise_mm, off_mm, 0.3 * resolution_mm)
        for run in group:
            where = run.readings
            # With hardly any noise a gauge may well stand still all round a part that hardly moves it.
            # Over a wider gap the form is foretold less well.
            least = (2.0 + _span_deg(angle_rad, run) / 60.0) * resolution_mm
            moved = noisy or float(np.ptp(form[where])) > least
            if moved and len(turn) / len(numbers) * _chance(form[where], noise, resolution_mm) < CHANCE:
                start = math.degrees(float(angle_rad[where[0]])) % 360.0
                # A stop lies in the part's way; from a gauge that stuck at its highest the part falls away.
                beyond = float(np.quantile(run.end * (form[where] - level_mm[where]), 0.1))
                at_stop = run.end != 0 and beyond > -max(3.0 * noise, 2.0 * resolution_mm)
                standstills.append(Standstill(start, _span_deg(angle_rad, run), every * len(where), at_stop))
    return standstills


def repeats_beyond_chance(reading_mm: Floats, resolution_mm: float) -> bool:
    """Return whether one turn of a gauge with noise repeats a value for longer than chance explains."""
    changes = np.flatnonzero(np.abs(np.diff(reading_mm)) > resolution_mm * 1e-3 + 1e-12)
    longest = int(np.diff(changes, prepend=-1, append=len(reading_mm) - 1).max())
    n = len(reading_mm)
    outside = max(0, n - 1 - len(changes) - (longest - 1)) / n
    # Hardly any turn goes further: not even the longest run is beyond what the others repeat.
    if longest < FEWEST_VALUES or n * outside ** (longest - 1) >= CHANCE:
        return False
    return bool(_runs(reading_mm, 0, resolution_mm, noisy=True))


def _at_one_place(angle_rad: Floats, runs: list[_Repeats]) -> list[list[_Repeats]]:
    """Return the runs in groups that stand at one place of the part, turn after turn."""
    groups: list[tuple[float, float, list[_Repeats]]] = []
    for run in runs:
        middle = float(angle_rad[run.readings].mean())
        half = math.radians(_span_deg(angle_rad, run)) / 2.0
        for place, reach, group in groups:
            if abs((middle - place + math.pi) % (2 * math.pi) - math.pi) < 0.5 * max(half, reach):
                group.append(run)
                break
        else:
            groups.append((middle, half, [run]))
    return [group for _, _, group in groups]


def _span_deg(angle_rad: Floats, run: _Repeats) -> float:
    return abs(math.degrees(float(angle_rad[run.readings[-1]] - angle_rad[run.readings[0]])))


def _chance(form_mm: Floats, noise_mm: float, resolution_mm: float) -> float:
    """Return the chance that readings of this form keep one value, wherever it stands in its step."""
    if noise_mm <= 0.0:
        return 1.0
    middle = (float(form_mm.max()) + float(form_mm.min())) / 2.0
    off = form_mm - middle + resolution_mm * np.linspace(-0.5, 0.5, 9)[:, None]
    above, below = (off + resolution_mm / 2) / noise_mm, (off - resolution_mm / 2) / noise_mm
    stays = normal_cdf(above) - normal_cdf(below)
    return float(np.exp(np.log(np.maximum(stays, 1e-300)).sum(axis=1).max()))


def _runs(reading_mm: Floats, offset: int, resolution_mm: float, *, noisy: bool) -> list[_Repeats]:
    """Return the suspicious runs of one turn; ``offset`` is the index of its first reading in the sweep."""
    n = len(reading_mm)
    if n < 8:
        return []
    tolerance = resolution_mm * 1e-3 + 1e-12
    same = np.abs(np.diff(reading_mm)) <= tolerance
    starts = np.flatnonzero(~np.concatenate([[False], same]))
    ends = np.append(starts[1:], n)
    long = ends - starts >= FEWEST_VALUES
    highest, lowest = reading_mm.max() - tolerance, reading_mm.min() + tolerance
    runs = []
    for start, end in zip(starts[long], ends[long], strict=True):
        count = int(end - start)
        outside = np.concatenate([same[: max(start - 1, 0)], same[end:]])
        repeats = (float(outside.sum()) + 1.0) / (len(outside) + 2.0)
        if not noisy or n * repeats ** (count - 1) < CHANCE:
            value = reading_mm[start]
            end_of_travel = int(value >= highest) - int(value <= lowest)
            runs.append(_Repeats(np.arange(start, end) + offset, end_of_travel))
    return runs


def _form_beside(
    angle_rad: Floats, level_mm: Floats, runs: list[_Repeats], creeping: bool, resolution_mm: float
) -> tuple[Floats, float]:
    """Return the form at every reading, told by those beside the runs, and by how much these are off it.

    Over a gap only so many orders are foretold as the rest of the turn determines: about one and a half
    unknowns to the gap's width.
    """
    use = np.ones(len(angle_rad), bool)
    for run in runs:
        use[run.readings] = False
    gap = largest_gap_deg(angle_rad[use])
    orders = int(np.clip((540.0 / gap - 1.0) / 2.0, 1, min(FORM_ORDERS, max(1, int(use.sum()) // 7))))
    form = fit_form(
        form_columns(angle_rad, orders, creeping), level_mm, use, resolution_mm, creeping=creeping
    )
    return form.curve_mm, form.scatter_mm
