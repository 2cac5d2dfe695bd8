"""Encoders of few counts, and gauges of few values a turn: how often the interval holds the truth, as a table.

Run from the top folder: python -m tests.campaigns.few_counts_few_values [--sweeps 60]. A share p of n sweeps
is sure to sqrt(p (1 - p) / n).
"""

import argparse
import math
import zlib
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.angle import angles_between_counts
from analysis.capture.samples import Capture
from analysis.errors import FullturnError
from analysis.setup import Quantity, make_limit
from analysis.sweep.pipeline import Options, analyse
from analysis.units import parse_length
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from simulated_motion import Bench, draw_part, hand, made_capture, spindle
from truth_in_interval import holds_place, off_deg


def between(capture: Capture) -> Capture:
    """Return the capture as a session makes it of few counts."""
    s = capture.samples
    counts = angles_between_counts(
        s.t_s, s.angle_rad / 2 / math.pi * capture.counts_per_turn, capture.counts_per_turn
    )
    samples = replace(s, angle_rad=counts / capture.counts_per_turn * 2 * math.pi).take(np.isfinite(counts))
    return replace(
        capture,
        samples=samples,
        between_counts=True,
        u_angle_rad=0.05 * 2 * math.pi / capture.counts_per_turn,
    )


def main(arguments: Sequence[str] | None = None) -> None:
    """Print a line for every condition as soon as it is known."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sweeps", type=int, default=60)
    parser.add_argument("--as-counted", action="store_true", help="angles of whole counts")
    parser.add_argument("--only", default="", help="conditions with this in their name")
    given = parser.parse_args(arguments)
    cases = [
        (f"{c} counts, {how}", how, c, 60.0, t)
        for c in (12, 20, 36)
        for how in ("spindle", "hand")
        for t in (3,)
    ]
    cases += [(f"50 values a turn, {t} turns", "spindle", 2400, 10.0, t) for t in (2, 3, 5)]
    for name, how, counts, rate, turns in cases:
        if given.only not in name:
            continue
        held = side = wrong = decided = 0
        off, width = [], []
        for seed in range(given.sweeps):
            rng = np.random.default_rng([seed, turns, zlib.crc32(name.encode())])
            rpm = rng.uniform(6, 12) if rate > 10 else rng.uniform(11.5, 12.5)
            turned = (hand if how == "hand" else spindle)(rng, turns + 0.3, rpm)
            part = draw_part(rng, rng.uniform(0.006, 0.015), 12)
            sweep = made_capture(rng, turned, part, Bench(rate_hz=rate, noise_mm=0.0008, counts=counts))
            if counts < 360 and not given.as_counted:
                sweep = between(sweep)
            truth = part.truth.tir_mm
            limit = truth * rng.choice([0.95, 1.05])
            try:
                result = analyse(
                    sweep,
                    Options(
                        limit=make_limit(
                            parse_length(f"{limit:.9f} mm", "limit"), Quantity.TIR, surface="outside"
                        )
                    ),
                )
            except FullturnError as error:  # a campaign says what was refused and goes on
                print(name, seed, repr(error)[:100])
                continue
            low, high = result.pooled.tir_fit.interval()
            held += low <= truth <= high
            width.append((high - low) * 1e3)
            number = result.pooled.high_side
            off.append(abs(off_deg(part.high_side_deg, number.value)))
            side += holds_place(number, part.high_side_deg)
            assert result.decision is not None
            state = str(result.decision.state)
            decided += state in ("within", "over")
            wrong += state == ("over" if truth <= limit else "within")
        n = given.sweeps
        print(
            f"{name:30s} TIR held {held}/{n}, width {np.median(width):.2f} um; high side held {side}/{n}, off "
            f"{np.median(off):.2f} deg; wrong {wrong}, decided {decided}",
            flush=True,
        )


if __name__ == "__main__":
    main()
