"""Sweeps turned in time, drawn anew for every seed: what encoder, coupling and gauge do to readings on the way.

Invented data for honesty tests. A hand or a spindle turns a part of known orders; the encoder counts, the
coupling may slip, the gauge may average, be late or have play, and readings are rounded as it shows them.
"""

import math
import zlib
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analysis.capture.samples import Capture, IndexPulses, Samples
from analysis.numerics.curve_extremes import Extremes, evaluate, extremes
from analysis.setup import parse_setup

Floats = NDArray[np.float64]
TWO_PI = 2 * math.pi
_FINE_S = 0.002


@dataclass(frozen=True)
class Turned:
    """How the part was turned: angle in radians at times every two milliseconds, from rest."""

    t_s: Floats
    angle_rad: Floats

    def at(self, t_s: Floats) -> Floats:
        """Return the true angle at these times."""
        return np.interp(t_s, self.t_s, self.angle_rad)


def spindle(rng: np.random.Generator, turns: float, rpm: float) -> Turned:
    """A driven spindle: even but for a hundredth of a percent."""
    t = np.arange(0.0, 60.0 * turns / rpm + 1.0, _FINE_S)
    return Turned(t, t * rpm * TWO_PI / 60.0 + rng.uniform(0, 0.02))


def hand(rng: np.random.Generator, turns: float, rpm: float) -> Turned:
    """A hand: the speed swells and fades by a third, some twice a turn."""
    t = np.arange(0.0, 60.0 * turns / rpm * 1.5 + 2.0, _FINE_S)
    pace = np.ones(len(t))
    for k in (0.7, 1.3, 2.1):
        pace += rng.normal(0, 0.14) * np.sin(TWO_PI * k * rpm / 60.0 * t + rng.uniform(0, TWO_PI))
    angle = np.cumsum(np.maximum(pace, 0.15)) * _FINE_S * rpm * TWO_PI / 60.0
    return _until(Turned(t, angle), turns)


def hand_that_goes_back(rng: np.random.Generator, turns: float, rpm: float, back_deg: float = 20.0) -> Turned:
    """A hand that stops about once a turn, goes back by some ``back_deg`` degrees, and on again."""
    forward = hand(rng, turns, rpm)
    speed = rpm * TWO_PI / 60.0
    step = forward.angle_rad[1:] - forward.angle_rad[:-1]
    pieces, done = [], 0
    for k in range(math.ceil(turns)):
        at = int(np.searchsorted(forward.angle_rad, TWO_PI * (k + rng.uniform(0.2, 0.8))))
        if at >= len(step):
            break
        away = math.radians(rng.uniform(0.5, 1.5) * back_deg)
        rate = speed * rng.uniform(0.4, 1.0) * _FINE_S
        n = max(2, round(away / rate))
        rest = np.zeros(round(rng.uniform(0.1, 0.5) / _FINE_S))
        pieces += [step[done:at], rest, np.full(n, -away / n), rest, np.full(n, away / n)]
        done = at
    pieces.append(step[done:])
    angle = np.concatenate([[0.0], np.cumsum(np.concatenate(pieces))])
    return Turned(np.arange(len(angle), dtype=np.float64) * _FINE_S, angle)


def _until(turned: Turned, turns: float) -> Turned:
    keep = turned.angle_rad <= TWO_PI * turns
    return Turned(turned.t_s[keep], turned.angle_rad[keep])


@dataclass(frozen=True)
class Part:
    """Orders of the part, mm."""

    z_mm: NDArray[np.complex128]

    def reading_mm(self, angle_rad: Floats) -> Floats:
        return evaluate(self.z_mm.real, self.z_mm.imag, angle_rad)

    @property
    def truth(self) -> Extremes:
        return extremes(self.z_mm.real, self.z_mm.imag)

    @property
    def high_side_deg(self) -> float:
        return math.degrees(float(np.angle(self.z_mm[0]))) % 360.0


def draw_part(rng: np.random.Generator, first_mm: float, highest: int = 15) -> Part:
    """Return a part whose orders fall off from its first."""
    n = np.arange(1, highest + 1)
    size = first_mm * rng.uniform(0.0, 0.6) * rng.rayleigh(0.6, highest) / n ** rng.uniform(1.0, 2.0)
    size[0] = first_mm
    return Part(size * np.exp(1j * rng.uniform(0, TWO_PI, highest)))


@dataclass(frozen=True)
class Bench:
    """Gauge and encoder of a sweep."""

    rate_hz: float = 60.0
    noise_mm: float = 0.0005
    step_mm: float = 0.001
    counts: float = 2400.0
    window_s: float = 0.0
    """A reading is the mean over so long."""
    late_s: float = 0.0
    play_mm: float = 0.0
    index: bool = False
    """An index pulse on the encoder's own disc."""
    setup: dict[str, str] = field(default_factory=dict)


def made_capture(
    rng: np.random.Generator,
    turned: Turned,
    part: Part,
    bench: Bench,
    *,
    slip_deg: float = 0.0,
    slip_at_turns: float = 0.0,
    more_mm: Floats | float = 0.0,
) -> Capture:
    """Return what a board would have sent; ``more_mm`` comes on top at the times of ``turned``."""
    surface = part.reading_mm(turned.angle_rad) + more_mm
    surface = _with_play(surface, bench.play_mm)
    if bench.window_s:
        summed = np.concatenate([[0.0], np.cumsum(surface)]) * _FINE_S
        ends = np.arange(len(surface) + 1) * _FINE_S
        since = np.maximum(turned.t_s - bench.window_s, 0.0)
        taken = np.maximum(turned.t_s - since, _FINE_S)
        surface = (np.interp(turned.t_s + _FINE_S, ends, summed) - np.interp(since, ends, summed)) / (
            taken + (turned.t_s + _FINE_S - since - taken)
        )
    t = np.arange(turned.t_s[0], turned.t_s[-1], 1.0 / bench.rate_hz)
    reading = np.interp(t - bench.late_s, turned.t_s, surface) + rng.normal(0, bench.noise_mm, len(t))
    reading = np.round((reading + rng.uniform(-0.5, 0.5)) / bench.step_mm) * bench.step_mm
    counted = turned.at(t) + np.where(turned.at(t) >= slip_at_turns * TWO_PI, math.radians(slip_deg), 0.0)
    angle = np.floor(counted / TWO_PI * bench.counts) / bench.counts * TWO_PI
    n = len(t)
    index = _pulses(turned, counted, t) if bench.index else IndexPulses.none()
    return Capture(
        Samples(t, angle, reading, np.ones(n, bool), np.zeros(n, bool), np.zeros(n, np.int16)),
        parse_setup({"surface": "outside", **bench.setup}),
        index=index,
        counts_per_turn=bench.counts,
        resolution_mm=bench.step_mm,
    )


def _pulses(turned: Turned, counted: Floats, t_s: Floats) -> IndexPulses:
    turns = np.arange(1, math.floor(float(counted.max()) / TWO_PI) + 1, dtype=np.float64)
    passed: Floats = turns * TWO_PI
    m = len(passed)
    return IndexPulses(np.interp(passed, counted, t_s), passed, np.ones(m, np.int8), np.zeros(m, np.int16))


def _with_play(surface_mm: Floats, play_mm: float) -> Floats:
    """Return what a gauge with play follows: it moves only where the surface has taken the play up."""
    if not play_mm:
        return surface_mm
    shown = np.empty_like(surface_mm)
    at = float(surface_mm[0]) - play_mm / 2
    for k, height in enumerate(surface_mm.tolist()):
        at = min(max(at, height - play_mm), height)
        shown[k] = at
    return shown


def ball_pass_mm(rng: np.random.Generator, turned: Turned, size_mm: float) -> Floats:
    """A line at .36 to .45 a turn."""
    order = rng.uniform(0.36, 0.45)
    return np.asarray(size_mm * np.cos(order * turned.angle_rad + rng.uniform(0, TWO_PI)))


def wander_mm(rng: np.random.Generator, turned: Turned, size_mm: float) -> Floats:
    """Order 1 a little otherwise on every turn, even between the turns' middles."""
    turns = turned.angle_rad / TWO_PI
    knots = np.arange(math.floor(float(turns.max())) + 3) - 0.5
    cos, sin = (np.interp(turns, knots, rng.normal(0, size_mm, len(knots))) for _ in "cs")
    return np.asarray(cos * np.cos(turned.angle_rad) + sin * np.sin(turned.angle_rad))


def drawn(
    name: str, turns: int, seed: int, rpm: float | None = None
) -> tuple[np.random.Generator, Turned, Part]:
    """Return a part of 6 to 20 um turned by a hand or a spindle, as the name of its condition says."""
    rng = np.random.default_rng([seed, turns, zlib.crc32(name.encode())])
    turned = (hand if "hand" in name else spindle)(
        rng, turns + 0.1, rng.uniform(6.0, 12.0) if rpm is None else rpm
    )
    return rng, turned, draw_part(rng, rng.uniform(0.006, 0.020))


def motion_beside(rng: np.random.Generator, name: str, turned: Turned, balls_mm: float) -> Floats | float:
    """Return what moves beside the part (mm), as the name of its condition says."""
    more: Floats | float = 0.0
    if "balls" in name:
        more = ball_pass_mm(rng, turned, balls_mm)
    if "wander" in name:
        more = wander_mm(rng, turned, 0.0015)
    if "creep" in name:
        more = 0.010 * turned.t_s / turned.t_s[-1]
    return more
