"""Analysed sweeps made from the orders of a part, at a known place on the arbor, for studies and reports."""

import math
from dataclasses import replace

import numpy as np
from made_sweeps import PER_TURN, Made, capture

from analysis.capture import AngleSource
from analysis.sweep import Options, analyse
from logger.inputs import AnalysedSweep

TURNS = 3
NOISE_MM = 0.0005
COUNTS = 2400
STEP_MM = 0.001
"""Of the gauge."""


def indexed_sweep(
    *orders_mm: complex,
    name: str = "a.mcap",
    index_deg: float | None = None,
    direction: int = 1,
    rpm: float = 10.0,
    height_mm: float = 0.0,
    seed: int = 1,
    delay_s: float | None = None,
    **setup: str,
) -> AnalysedSweep:
    """Return a sweep that reads these orders (z_1, z_2 ... mm) round a mean height, from its own mark.

    With ``delay_s`` an encoder counted its angles at an even speed, and the gauge was so late.
    """
    turned = direction * np.arange(TURNS * PER_TURN) / PER_TURN
    angle_rad = 2.0 * math.pi * turned
    late_rad = (delay_s or 0.0) * 2.0 * math.pi * rpm / 60.0
    reading = height_mm + np.random.default_rng(seed).normal(0.0, NOISE_MM, len(turned))
    for n, z in enumerate(orders_mm, 1):
        reading = reading + np.real(z * np.exp(-1j * n * (angle_rad - direction * late_rad)))
    reading = np.round(reading / STEP_MM) * STEP_MM
    made = Made(angle_rad, reading, np.abs(turned) * 60.0 / rpm, np.floor(np.abs(turned)).astype(np.int64))
    sweep = capture(made, STEP_MM, **setup)
    if delay_s is not None:
        sweep = replace(sweep, angle_source=AngleSource.ENCODER, counts_per_turn=COUNTS)
    return AnalysedSweep(name, sweep, analyse(sweep, Options()), index_deg)


def turned(z: complex, deg: float) -> complex:
    """Return order 1 with its high place moved on by this angle."""
    return z * complex(math.cos(math.radians(deg)), math.sin(math.radians(deg)))
