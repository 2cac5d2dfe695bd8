"""A full minute of the emulated board at the pace of life, on a port, recorded and held against its truth.

Run from the top folder: python -m tests.campaigns.emulated_minute [--seconds 60] [--rate 2000]
[--baud 500000] [--free]. Prints what was lost, dropped and wrong, and how the fit agrees with the model; ends
with status 1 where anything is not as it must be. Needs what tests/firmware_bench.py needs.
"""

import argparse
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from logger.practice.stories.catalogue import scenario
from logger.recording import RecordingReader
from logger.stream import LinkBytes
from logger.wire.parsing import MessageDecoder
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from firmware_bench import INDICATOR, MISSING, PROBE, against_truth, plugged, samples_of
from running import fullturn

TURN_S = 7.5
OVER_S = 30.0
"""For opening the port and for what the computer is late by."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Record, compare, print; return the status."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--rate", type=int, default=2000)
    parser.add_argument("--baud", type=int, default=500_000)
    parser.add_argument("--free", action="store_true", help="as fast as the emulator runs")
    asked = parser.parse_args(arguments)
    if MISSING:
        print(f"not installed: {', '.join(MISSING)}")
        return 2
    turns = max(1, round(asked.seconds / TURN_S))
    lengths = [1.0] * turns
    lengths[0] += 0.02  # past the mark, so that the last turn is surely round
    moves = [f"--move={length},{TURN_S},0.3" for length in lengths]
    ends = (f"--seconds={asked.seconds + OVER_S}", f"--wall={2 * asked.seconds + 2 * OVER_S}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        bench = (*moves, *ends, *(("--free",) if asked.free else ()))
        with plugged(folder, *bench, baud=asked.baud) as board:
            ask = ("--channel", 1, "--rate", asked.rate, "--baud", asked.baud, "--turns", turns)
            file = folder / "minute.mcap"
            ran = fullturn(folder, "record", board.port, "--out", file, "--json", "--limit", "0.05 mm", *ask)
            counters = board.unplug()
        if ran.status != 1:
            print(f"status {ran.status}, expected 1 (over the limit): {ran.err}")
            return 1
        data = b"".join(item.data for item in RecordingReader(file).items() if isinstance(item, LinkBytes))
        return report(ran.result, data, board.truth(), counters)


def report(result: dict, data: bytes, truth: tuple, counters: dict[str, float]) -> int:  # type: ignore[type-arg]
    """Print the comparison; return 1 where something is not as it must be."""
    print(
        f"simulated {counters['simulated_s']:.1f} s in {counters['wall_s']:.1f} s, {len(data)} bytes recorded"
    )
    link = result["link"]
    print({name: link[name] for name in ("frames", "bad", "lost", "dropped", "enc_errors")})
    wrong = link["lost"] + link["dropped"] + link["enc_errors"] + max(0, link["bad"] - 1)
    messages = MessageDecoder().feed(data)
    for channel, words in ((INDICATOR, "indicator"), (PROBE, "probe")):
        off = np.abs(against_truth(samples_of(messages, channel), truth[channel]))
        values, counts = int((off[:, 2] > 0).sum()), int((off[:, 1] > 1).sum())
        print(f"{words}: {len(off)} readings, {values} wrong values, {counts} counts off by more than one")
        wrong += values + counts
    model = scenario("wind-pump/as-found").truth()
    for value, interval in (("tir_fit_mm", "tir_fit_95_mm"), ("high_side_deg", "high_side_95_deg")):
        found, (low, high) = result["pooled"][value], result["pooled"][interval]
        print(f"{value}: {found:.5f}, 95 % {low:.5f} to {high:.5f}, the model {model[value]:.5f}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
