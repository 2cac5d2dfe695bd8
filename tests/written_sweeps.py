"""Sweeps as a person writes them down: CSV files with readings of a plain wobble, for the commands."""

import math
from pathlib import Path

import numpy as np

PLACES, TURNS = 120, 3


def write_csv(
    path: Path, tir: float, high_deg: float = 40.0, *, unit: str = "mm", noise: float = 0.0004, **setup: str
) -> str:
    """Write three turns of a wobble of this TIR (in ``unit``) at 120 places, with noise; return the path."""
    rng = np.random.default_rng(round(1e4 * tir) + round(high_deg))
    deg = np.arange(PLACES * TURNS) * 360.0 / PLACES
    reading = tir / 2 * np.cos(np.radians(deg) - math.radians(high_deg)) + rng.normal(0, noise, len(deg))
    lines = [f"# {key} = {value}" for key, value in setup.items()]
    lines.append(f"angle_deg,reading_{unit}")
    lines += [f"{at % 360:.3f},{value:.6f}" for at, value in zip(deg, reading, strict=True)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return str(path)
