"""How often intervals hold the truth, and how wide they are, through the whole of a sweep's analysis, as a table.

Run from the top folder: python -m tests.campaigns.coverage [--n 1000] [--condition NAME ...] [--turns 2 3 5 10]
[--from-seed 0]; without a condition all of them. A line a condition and number of turns, as soon as it is known.
Every figure but the widths is a share of the sweeps in per cent; Monte Carlo error of 95 % over 1,000: 0.7. Held are:
the TIR, its one-sided upper limit, the high side, the high point, the eccentricity, the form and synchronous and
asynchronous motion by their 95 % intervals. Wrong within: decided so at a limit a millionth under the true TIR.
Width: of the TIR's interval over Cramer and Rao's for white noise; then of the TIR's, the synchronous and the
asynchronous interval in um, which is in noises.
"""

import argparse
import math
import time
import zlib
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from analysis.capture.samples import Capture
from analysis.numerics.curve_extremes import extremes
from analysis.results import SweepResult
from analysis.setup import Quantity, make_limit, parse_setup
from analysis.sweep.motion import RoundCurves, turn_at_places
from analysis.sweep.pipeline import Options, analyse, fit_sweep
from analysis.units import parse_length
from tests.campaigns import helpers_path  # noqa: F401
from tests.campaigns.few_counts_few_values import between

# isort: split
from simulated_motion import (
    Bench,
    draw_part as draw_turned_part,
    hand,
    made_capture,
    spindle,
)
from simulated_sweeps import CONDITIONS, HARDER, HIGHEST, SimulatedSweep
from truth_in_interval import holds, holds_place

TWO_PI = 2.0 * math.pi
NAMES = {
    "white": "white",
    "drift": "drift",
    "slow": "slow gauge",
    "ball-pass": "ball-pass",
    "stopping hand": "stopping hand",
    "hardly true": "hardly runs out",
    "coarse": "coarse",
    "lobes": "lobes",
    "wander": "wander",
    "wander+ball": "wander and ball-pass",
    "lines": "lines 12-25",
}
"""Conditions of one gauge and encoder, and what the simulated sweeps call them."""
HEAD = (
    "condition      turns     n   TIR upper  side point   ecc  sync async  form  wrong-within decided "
    "width/CR  width um  sync  async"
)
_JUST_UNDER = 1.0 - 1e-6
GAUGE = {"surface": "outside", "gauge_error": "0.000001 mm", "gauge_hysteresis": "0.000001 mm"}
"""A gauge that is certified to be perfect: what decides is the scatter."""


def form_mm(cos_mm: np.ndarray, sin_mm: np.ndarray) -> float:
    """Return max - min of a part without its first order."""
    cos, sin = cos_mm.copy(), sin_mm.copy()
    cos[0] = sin[0] = 0.0
    return extremes(cos, sin).tir_mm


def inside(ends_mm: tuple[float, float] | None, truth_mm: float) -> bool:
    """Return whether an interval that was told holds the truth."""
    return ends_mm is not None and ends_mm[0] <= truth_mm <= ends_mm[1]


def count(tally: Counter[str], result: SweepResult, sweep: SimulatedSweep) -> None:
    """Put one analysed sweep up against its truth."""
    pooled, truth = result.pooled, sweep.truth
    first = math.hypot(sweep.cos_mm[0], sweep.sin_mm[0])
    (low, high), upper = pooled.tir_fit.interval(), pooled.tir_fit.one_sided()[1]
    tally["TIR"] += low <= truth.tir_mm <= high
    tally["upper"] += truth.tir_mm <= upper
    tally["side"] += holds_place(pooled.high_side, math.degrees(math.atan2(sweep.sin_mm[0], sweep.cos_mm[0])))
    tally["point"] += holds_place(pooled.high_point, math.degrees(truth.high_rad))
    tally["ecc"] += inside(pooled.eccentricity_95_mm, first)
    tally["form"] += holds(pooled.form, form_mm(sweep.cos_mm, sweep.sin_mm))
    turns = [sweep.turn == k for k in np.unique(sweep.turn)]
    motion = RoundCurves.of(
        (turn_at_places(sweep.angle_rad[mine], sweep.clean_mm[mine], sweep.t_s[mine]) for mine in turns),
        len(turns),
    ).motion(pooled.drift_mm_per_s or 0.0, remove_first_order=True)
    tally["sync"] += inside(pooled.synchronous_95_mm, motion.synchronous_mm)
    tally["async"] += inside(pooled.asynchronous_95_mm, motion.asynchronous_mm)
    assert result.decision is not None
    tally["within"] += str(result.decision.state) == "within"
    tally["decided"] += str(result.decision.state) != "undecided"


def whole(name: str, turns: int, seed: int) -> tuple[SweepResult, SimulatedSweep]:
    """Return one simulated sweep analysed as arrays are, and what it was made from."""
    condition = {**CONDITIONS, **HARDER}[name]
    sweep = condition(np.random.default_rng([seed, turns, zlib.crc32(name.encode())]), turns)
    # One reading past the mark ends the last turn, and belongs to none.
    result = fit_sweep(
        np.append(sweep.angle_rad, TWO_PI * turns + 1e-6),
        np.append(sweep.reading_mm, sweep.reading_mm[-1]),
        np.append(sweep.t_s, sweep.t_s[-1] + 0.01),
        setup={**GAUGE, "turns_planned": str(turns)},
        limit=_JUST_UNDER * sweep.truth.tir_mm,
        resolution_mm=sweep.resolution_mm,
        seed=seed,
    )
    return result, sweep


def turned(few_counts: bool) -> Callable[[int, int], tuple[SweepResult, SimulatedSweep]]:
    """Return sweeps of an encoder of 12 to 36 counts, or of a gauge of 10 values a second at 12 rpm."""

    def one(turns: int, seed: int) -> tuple[SweepResult, SimulatedSweep]:
        rng = np.random.default_rng([seed, turns, 11 + few_counts])
        counts, rate = (int(rng.choice([12, 20, 36])), 60.0) if few_counts else (2400, 10.0)
        rpm = rng.uniform(6.0, 12.0) if few_counts else rng.uniform(11.5, 12.5)
        motion = (hand if few_counts and rng.uniform() < 0.5 else spindle)(rng, turns + 0.3, rpm)
        part = draw_turned_part(rng, rng.uniform(0.006, 0.015), 12)
        capture: Capture = made_capture(
            rng, motion, part, Bench(rate_hz=rate, noise_mm=0.0008, counts=counts)
        )
        capture = between(capture) if few_counts else capture
        limit = parse_length(f"{_JUST_UNDER * part.truth.tir_mm:.9f} mm", "limit")
        setup = parse_setup({**GAUGE, "turns_planned": str(turns)})
        capture = replace(capture, setup=setup)
        result = analyse(
            capture, Options(limit=make_limit(limit, Quantity.TIR, surface="outside"), seed=seed)
        )
        s = capture.samples
        turn = np.floor(s.angle_rad / TWO_PI).astype(np.int64)
        inside = (turn >= 0) & (turn < turns)
        clean = part.reading_mm(s.angle_rad[inside])
        # The bound of Cramer and Rao asks for fifteen orders.
        padded = np.append(part.z_mm, np.zeros(HIGHEST - len(part.z_mm)))
        return result, SimulatedSweep(
            s.angle_rad[inside], s.reading_mm[inside], s.t_s[inside], turn[inside], padded.real, padded.imag,
            0.0008, 0.0, clean,
        )  # fmt: skip

    return one


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table, a line as soon as it is known."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--n", type=int, default=1000)
    parser.add_argument("--turns", type=int, nargs="+", default=[2, 3, 5, 10])
    parser.add_argument("--from-seed", type=int, default=0)
    parser.add_argument("--condition", nargs="+", default=[*NAMES, "few counts", "few values"])
    asked = parser.parse_args(arguments)
    print(HEAD, flush=True)
    for name in asked.condition:
        for turns in asked.turns:
            start = time.perf_counter()
            tally: Counter[str] = Counter()
            width = reference = 0.0
            moved = np.zeros(2)
            for seed in range(asked.from_seed, asked.from_seed + asked.n):
                if name in ("few counts", "few values"):
                    result, sweep = turned(name == "few counts")(turns, seed)
                else:
                    result, sweep = whole(NAMES.get(name, name), turns, seed)
                count(tally, result, sweep)
                low, high = result.pooled.tir_fit.interval()
                width += high - low
                reference += sweep.cramer_rao_width_mm()
                intervals = (result.pooled.synchronous_95_mm, result.pooled.asynchronous_95_mm)
                moved += [math.nan if ends is None else ends[1] - ends[0] for ends in intervals]
            share = {key: 100.0 * tally[key] / asked.n for key in tally}
            of = [share.get(key, 0.0) for key in ("TIR", "upper", "side", "point", "ecc", "sync", "async")]
            print(
                f"{name:14s} {turns:5d} {asked.n:5d} {' '.join(f'{each:5.1f}' for each in of)} "
                f"{share.get('form', 0.0):5.1f} {share.get('within', 0.0):13.1f} {share.get('decided', 0.0):7.1f} "
                f"{width / reference:8.2f} {1e3 * width / asked.n:9.2f} "
                f"{1e3 * moved[0] / asked.n:5.2f} {1e3 * moved[1] / asked.n:6.2f}  "
                f"{1e3 * (time.perf_counter() - start) / asked.n:.0f} ms",
                flush=True,
            )


if __name__ == "__main__":
    main()
