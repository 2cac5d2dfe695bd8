"""Sweeps with a known truth, drawn anew for every seed: part, phase, zero and noise.

Invented data for honesty tests; the conditions are those of the plan's section on one sweep, and harder
ones beside them. Noise is 1 um throughout, so that a width in um is a width in units of the noise.
"""

import math
import zlib
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from truth_in_interval import holds, holds_place

from analysis.harmonics import FitPlan, harmonic_rows, orders_and_lines
from analysis.numerics.curve_extremes import Extremes, evaluate, extremes
from analysis.uncertainty.sweep import tir_interval

Floats = NDArray[np.float64]
TWO_PI = 2 * math.pi
NOISE_MM = 0.001
HIGHEST = 15
Z95 = 1.959963984540054


@dataclass(frozen=True)
class SimulatedSweep:
    """One sweep and the truth behind it."""

    angle_rad: Floats
    reading_mm: Floats
    t_s: Floats
    turn: NDArray[np.int64]
    cos_mm: Floats
    sin_mm: Floats
    noise_mm: float
    """Standard deviation of the white part, the rounding's q / sqrt 12 included."""
    resolution_mm: float = 0.0
    clean_mm: Floats = field(default_factory=lambda: np.empty(0))
    """Part and motion without noise or steps, shape (n,)."""

    @property
    def truth(self) -> Extremes:
        """Highest and lowest point of the true orders."""
        return extremes(self.cos_mm, self.sin_mm)

    def cramer_rao_width_mm(self) -> float:
        """Return the width of a 95 % interval for the TIR that no unbiased fit of all orders can beat.

        White noise, constant, orders 1..15 and those that the part has above them unknown. Where the truth is
        0 there is no place of the extremes: two opposite points stand in.
        """
        amplitude = np.hypot(self.cos_mm, self.sin_mm)
        amplitude[:HIGHEST] = 1.0
        fitted = np.append(True, np.repeat(amplitude > 0, 2))
        rows = harmonic_rows(self.angle_rad, len(amplitude))[fitted]
        inverse = np.linalg.inv(rows @ rows.T)
        truth = self.truth
        places = [truth.high_rad, truth.low_rad] if truth.tir_mm > 0 else [0.0, math.pi]
        high, low = harmonic_rows(np.array(places), len(amplitude))[fitted].T
        gradient = high - low
        return 2 * Z95 * self.noise_mm * math.sqrt(float(gradient @ inverse @ gradient))


def draw_part(rng: np.random.Generator, first_mm: float) -> tuple[Floats, Floats]:
    """Return cos and sin of orders 1..15: a first order of this amplitude, the others decaying from it."""
    orders = np.arange(1, HIGHEST + 1)
    amplitude = (
        first_mm * rng.uniform(0.0, 1.0) * rng.rayleigh(0.6, HIGHEST) / orders ** rng.uniform(1.0, 2.0)
    )
    amplitude[0] = first_mm
    phase = rng.uniform(0, TWO_PI, HIGHEST)
    return amplitude * np.cos(phase), amplitude * np.sin(phase)


def turning(rng: np.random.Generator, turns: int, per_turn: float) -> tuple[Floats, Floats]:
    """Return times and angles of a hand that turns unevenly, ``per_turn`` samples a turn on average."""
    n = round(turns * per_turn)
    t = np.arange(n) / n
    wander = np.zeros(n)
    for k in range(1, 4):
        wander += (
            rng.normal(0, 0.15 / k) / (k * turns) * np.sin(TWO_PI * k * turns * t + rng.uniform(0, TWO_PI))
        )
    progress = t + (wander - wander[0]) / TWO_PI
    angle = TWO_PI * turns * (progress - progress[0]) / (progress[-1] - progress[0]) * (n - 1) / n
    return t * turns * 6.0, angle


def _sweep(
    rng: np.random.Generator,
    t_s: Floats,
    angle: Floats,
    part: tuple[Floats, Floats],
    *,
    extra: Floats | float = 0.0,
    noise: Floats | None = None,
    step_mm: float = 0.0,
    noise_mm: float = NOISE_MM,
) -> SimulatedSweep:
    zero = rng.uniform(-0.5, 0.5)
    e = noise_mm * rng.standard_normal(len(angle)) if noise is None else noise
    clean = evaluate(*part, angle) + extra
    reading = zero + clean + e
    if step_mm:
        reading = np.round(reading / step_mm) * step_mm
    turn = np.floor(angle / TWO_PI + 1e-12).astype(np.int64)
    white = math.hypot(noise_mm, step_mm / math.sqrt(12))
    return SimulatedSweep(angle, reading, t_s, turn, *part, white, step_mm, clean)


def _first(rng: np.random.Generator) -> float:
    return float(NOISE_MM * 10 ** rng.uniform(0.5, 2.0))


def white(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """White noise, 500 readings a turn."""
    return _sweep(rng, *turning(rng, turns, 500), draw_part(rng, _first(rng)))


def slow_gauge(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A gauge with 105 to 120 new values a turn."""
    return _sweep(rng, *turning(rng, turns, rng.uniform(105, 120)), draw_part(rng, _first(rng)))


def drift(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A stand that creeps evenly, up to 20 noises over the sweep."""
    t, angle = turning(rng, turns, 500)
    return _sweep(
        rng, t, angle, draw_part(rng, _first(rng)), extra=rng.uniform(-20, 20) * NOISE_MM * t / t[-1]
    )


def _line(rng: np.random.Generator, angle: Floats, order: float, size: float) -> Floats:
    return size * NOISE_MM * np.cos(order * angle + rng.uniform(0, TWO_PI))


def ball_pass(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Balls passing 0.41 times a turn, 1 to 5 noises high."""
    t, angle = turning(rng, turns, 500)
    return _sweep(
        rng, t, angle, draw_part(rng, _first(rng)), extra=_line(rng, angle, 0.41, rng.uniform(1, 5))
    )


def slow_ball_pass(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Balls passing 0.41 times a turn, seen by a slow gauge."""
    t, angle = turning(rng, turns, rng.uniform(105, 120))
    return _sweep(
        rng, t, angle, draw_part(rng, _first(rng)), extra=_line(rng, angle, 0.41, rng.uniform(1, 5))
    )


def hand(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A hand that stops, goes back and on again: readings pile up at stops, retrodden ones are left out."""
    t, angle = turning(rng, turns, 500)
    repeat = np.ones(len(angle), np.int64)
    stops = rng.choice(len(angle) - 60, size=3 * turns, replace=False)
    repeat[stops] = rng.integers(50, 300, len(stops))
    keep = np.ones(len(angle), bool)
    for stop in stops[::3]:
        # Gone back and on: what is passed again brings nothing new and leaves a thin stretch.
        keep[stop + 1 : stop + int(rng.integers(5, 15))] = False
    repeat[~keep] = 0
    return _sweep(rng, np.repeat(t, repeat), np.repeat(angle, repeat), draw_part(rng, _first(rng)))


def hardly_runs_out(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A part whose orders are no larger than the noise."""
    part = draw_part(rng, NOISE_MM * 10 ** rng.uniform(-1.5, 0.0))
    return _sweep(rng, *turning(rng, turns, 500), part)


def no_runout(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A perfect part: the truth is 0."""
    return _sweep(rng, *turning(rng, turns, 500), (np.zeros(HIGHEST), np.zeros(HIGHEST)))


def coarse(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Noise of 0.3 to 0.5 steps of the reading."""
    step = NOISE_MM / rng.uniform(0.3, 0.5)
    part = draw_part(rng, step * 10 ** rng.uniform(-0.5, 1.0))
    return _sweep(rng, *turning(rng, turns, 500), part, step_mm=step)


def very_coarse(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Noise below 0.3 steps of the reading."""
    step = NOISE_MM / rng.uniform(0.03, 0.3)
    part = draw_part(rng, step * 10 ** rng.uniform(-1.0, 1.0))
    return _sweep(rng, *turning(rng, turns, 500), part, step_mm=step)


def ball_pass_elsewhere(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """One line anywhere from 0.2 to 8 a turn, whole orders not spared."""
    t, angle = turning(rng, turns, 500)
    order = rng.uniform(0.2, 8.0)
    return _sweep(
        rng, t, angle, draw_part(rng, _first(rng)), extra=_line(rng, angle, order, rng.uniform(1, 5))
    )


def ball_pass_peaked(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Balls passing near 0.41 a turn, not sinusoidal: second and third multiples beside the first."""
    t, angle = turning(rng, turns, 500)
    order, size = rng.uniform(0.36, 0.46), rng.uniform(1, 4)
    extra = sum(_line(rng, angle, k * order, size * share) for k, share in ((1, 1.0), (2, 0.4), (3, 0.2)))
    return _sweep(rng, t, angle, draw_part(rng, _first(rng)), extra=extra)


def weak_ball_pass(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Balls passing 0.41 times a turn at a height that is seen in some sweeps and not in others."""
    t, angle = turning(rng, turns, 500)
    return _sweep(
        rng, t, angle, draw_part(rng, _first(rng)), extra=_line(rng, angle, 0.41, rng.uniform(0.05, 0.5))
    )


def wandering_axis(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """An axis that lies a little otherwise on every turn: orders 1 to 3 scatter by 0.2 to 2 noises."""
    t, angle = turning(rng, turns, 500)
    extra = np.zeros(len(angle))
    size = 10 ** rng.uniform(-0.7, 0.3) * NOISE_MM
    knots = np.arange(turns * 2 + 3)
    for n in (1, 2, 3):
        for wave in (np.cos, np.sin):
            wander = rng.standard_normal(len(knots)) * size / n
            extra += np.interp(angle / math.pi, knots, wander) * wave(n * angle)
    return _sweep(rng, t, angle, draw_part(rng, _first(rng)), extra=extra)


def lobed(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A part with equal lobes: one order from 2 to 6 and nothing else."""
    cos_mm, sin_mm = np.zeros(HIGHEST), np.zeros(HIGHEST)
    order, size, phase = int(rng.integers(2, 7)), _first(rng), rng.uniform(0, TWO_PI)
    cos_mm[order - 1], sin_mm[order - 1] = size * math.cos(phase), size * math.sin(phase)
    return _sweep(rng, *turning(rng, turns, 500), (cos_mm, sin_mm))


def ridge(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A ridge 6 to 30 degrees wide on a plain wobble, as far as 15 orders show it."""
    orders = np.arange(1, HIGHEST + 1)
    width, place, tilt = rng.uniform(0.1, 0.5), *rng.uniform(0, TWO_PI, 2)
    z = 2 * _first(rng) * np.sin(orders * width / 2) / (orders * math.pi) * np.exp(1j * orders * place)
    z[0] += _first(rng) * np.exp(1j * tilt)
    return _sweep(rng, *turning(rng, turns, 500), (z.real, z.imag))


def flat_spectrum(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A part whose 15 orders are all of one height, half to four times what noise makes of an order."""
    size = NOISE_MM * math.sqrt(2 / (500 * turns)) * rng.uniform(0.5, 4.0)
    phase = rng.uniform(0, TWO_PI, HIGHEST)
    return _sweep(rng, *turning(rng, turns, 500), (size * np.cos(phase), size * np.sin(phase)))


def lobes(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """A part with one order from 17 to 48, 3 to 12 noises high, on a wobble."""
    low = draw_part(rng, 20 * NOISE_MM * rng.uniform(1.0, 3.0))
    cos_mm, sin_mm = (np.concatenate([part, np.zeros(60 - HIGHEST)]) for part in low)
    order, size, phase = int(rng.integers(17, 49)), rng.uniform(3, 12) * NOISE_MM, rng.uniform(0, TWO_PI)
    cos_mm[order - 1], sin_mm[order - 1] = size * math.cos(phase), size * math.sin(phase)
    return _sweep(rng, *turning(rng, turns, 500), (cos_mm, sin_mm))


def _wander(rng: np.random.Generator, angle: Floats, turns: int, lag1: float = 0.0) -> Floats:
    """Return a first order that is another one on every turn, 1.5 to 4 noises, smoothly between."""
    size = rng.uniform(1.5, 4.0) * NOISE_MM
    vectors = rng.standard_normal((turns + 2, 2))
    for k in range(1, len(vectors)):
        vectors[k] = lag1 * vectors[k - 1] + math.sqrt(1.0 - lag1**2) * vectors[k]
    middle = np.arange(-0.5, turns + 1.0) * TWO_PI
    cos_mm, sin_mm = (size * PchipInterpolator(middle, part)(angle) for part in vectors.T)
    return np.asarray(cos_mm * np.cos(angle) + sin_mm * np.sin(angle))


def wander(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Order 1 is another one on every turn, each by itself."""
    t, angle = turning(rng, turns, 500)
    return _sweep(rng, t, angle, draw_part(rng, _first(rng)), extra=_wander(rng, angle, turns))


def wander_alike(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Order 1 is another one on every turn, neighbours alike by 0.3."""
    t, angle = turning(rng, turns, 500)
    return _sweep(rng, t, angle, draw_part(rng, _first(rng)), extra=_wander(rng, angle, turns, 0.3))


def wander_and_ball_pass(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """Order 1 wanders, and balls pass 0.41 times a turn, 4 to 8 noises high."""
    t, angle = turning(rng, turns, 500)
    extra = _wander(rng, angle, turns) + _line(rng, angle, 0.41, rng.uniform(4, 8))
    return _sweep(rng, t, angle, draw_part(rng, _first(rng)), extra=extra)


def fast_line(rng: np.random.Generator, turns: int) -> SimulatedSweep:
    """One line from 12 to 25 a turn, 2 to 8 noises high, a fifth or more from whole orders."""
    t, angle = turning(rng, turns, 500)
    order = int(rng.integers(12, 25)) + rng.uniform(0.2, 0.8)
    return _sweep(
        rng, t, angle, draw_part(rng, _first(rng)), extra=_line(rng, angle, order, rng.uniform(2, 8))
    )


Condition = Callable[[np.random.Generator, int], SimulatedSweep]

CONDITIONS: dict[str, Condition] = {
    "white": white,
    "slow gauge": slow_gauge,
    "drift": drift,
    "ball-pass": ball_pass,
    "slow gauge and ball-pass": slow_ball_pass,
    "stopping hand": hand,
    "hardly runs out": hardly_runs_out,
    "no runout": no_runout,
    "coarse": coarse,
    "very coarse": very_coarse,
}
"""What the plan names."""

HARDER: dict[str, Condition] = {
    "ball-pass elsewhere": ball_pass_elsewhere,
    "peaked ball-pass": ball_pass_peaked,
    "weak ball-pass": weak_ball_pass,
    "wandering axis": wandering_axis,
    "lobed": lobed,
    "ridge": ridge,
    "flat spectrum": flat_spectrum,
    "lobes": lobes,
    "wander": wander,
    "wander, turns alike": wander_alike,
    "wander and ball-pass": wander_and_ball_pass,
    "lines 12-25": fast_line,
}
"""What it does not; no goal stands over these."""


@dataclass
class Tally:
    """How often intervals held the truth, over many sweeps of one condition."""

    sweeps: int = 0
    held: int = 0
    low_held: int = 0
    high_held: int = 0
    below: int = 0
    above: int = 0
    first_held: int = 0
    high_point_held: int = 0
    width: float = 0.0
    reference: float = 0.0
    ratio: float = 0.0
    branches: Counter[str] = field(default_factory=Counter)
    inflated: int = 0
    added: Counter[int] = field(default_factory=Counter)
    """How many sweeps had so many orders added above the fifteenth."""

    HEAD = (
        "condition                 turns  sweeps   95 %  >=low  <=high  1st  point   width/CR  "
        "mean ratio  wide  branches"
    )

    def share(self, count: int) -> float:
        """Return a count in per cent of the sweeps."""
        return 100.0 * count / self.sweeps

    def row(self, name: str, turns: int) -> str:
        """Return the line of the table."""
        branches = " ".join(f"{key}:{count}" for key, count in self.branches.most_common())
        branches += "".join(f" +{key} orders:{count}" for key, count in sorted(self.added.items()) if key)
        return (
            f"{name:26s} {turns:4d} {self.sweeps:7d} {self.share(self.held):6.1f} {self.share(self.low_held):6.1f} "
            f"{self.share(self.high_held):7.1f} {self.share(self.first_held):5.1f} "
            f"{self.share(self.high_point_held):6.1f} {self.width / self.reference:9.2f} "
            f"{self.ratio / self.sweeps:11.2f} {self.inflated:5d}  {branches}"
        )


def measure(name: str, turns: int, seeds: Iterable[int]) -> Tally:
    """Draw a sweep for every seed, put its interval up against the truth, and count."""
    condition = {**CONDITIONS, **HARDER}[name]
    tally = Tally()
    for seed in seeds:
        sweep = condition(np.random.default_rng([seed, turns, zlib.crc32(name.encode())]), turns)
        plan = FitPlan(HIGHEST, turns)
        above, lines = orders_and_lines(
            sweep.angle_rad,
            sweep.reading_mm,
            sweep.t_s,
            sweep.turn,
            plan,
            resolution_mm=sweep.resolution_mm,
        )
        known = tir_interval(
            sweep.angle_rad,
            sweep.reading_mm,
            sweep.t_s,
            sweep.turn,
            plan=replace(plan, added_orders=above.orders),
            resolution_mm=sweep.resolution_mm,
            lines=lines,
            seed=seed,
        )
        truth, reference = sweep.truth, sweep.cramer_rao_width_mm()
        first = 2 * math.hypot(sweep.cos_mm[0], sweep.sin_mm[0])
        (low, high), (low_one, high_one) = known.tir.interval(), known.tir.one_sided()
        tally.sweeps += 1
        tally.held += low <= truth.tir_mm <= high
        tally.below += truth.tir_mm < low
        tally.above += truth.tir_mm > high
        tally.low_held += low_one <= truth.tir_mm
        tally.high_held += truth.tir_mm <= high_one
        tally.first_held += holds(known.first.tir_first, first)
        tally.high_point_held += holds_place(known.high_point, math.degrees(truth.high_rad))
        tally.width += high - low
        tally.reference += reference
        tally.ratio += (high - low) / reference
        tally.branches[known.branch] += 1
        tally.inflated += known.scatter.inflated
        tally.added[len(above.orders)] += 1
    return tally
