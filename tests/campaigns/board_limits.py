"""Where the reference board ends: the shortest bit of its indicator, and the most edges a second of its encoder.

Run from the top folder: python -m tests.campaigns.board_limits [--seconds 12]. No two of the rates divide one
another, so that edges, words and conversions meet in every order: at rates that do, they keep the same distance for
ever, and a run shows one case many times. Prints, for each row, counts lost and words passed, wrong and refused; ends
with status 1 where a wrong word passed, a refused one was not counted, or counts were lost up to what the notes tell.
Needs what tests/firmware_bench.py needs.
"""

import argparse
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from logger.wire.messages import Heartbeat
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from firmware_bench import INDICATOR, MISSING, PER_TURN, against_truth, scripted

WORDS_PER_S = 127
PROBE_HZ = 1999
FOLLOWED_PER_S = 40_009
"""Up to here no count may be lost: the limit in print, firmware-notes/README.md."""

BITS_US = (20, 30, 40, 60, 200)
AT_BITS_PER_S = 20_011
EDGES_PER_S = (20_011, 30_011, 40_009, 45_007, 49_871, 60_013)
AT_EDGES_US = 200
BEGIN_S = 0.5
REST_S = 1.0
"""Stands still at the end for as long: every word is over and told by a heartbeat."""


@dataclass(frozen=True)
class Found:
    """What one run showed."""

    edges: int
    lost: int
    words: int
    passed: int
    wrong: int
    refused: int
    """Counted by the board."""

    @property
    def silent(self) -> int:
        """Words that neither passed nor were counted."""
        return self.words - self.passed - self.refused


def run(edges_per_s: int, bit_us: float, seconds: float) -> Found:
    """Turn steadily for so long with everything on, and compare with what was at the pins."""
    turns = edges_per_s * seconds / PER_TURN
    script = (
        "--say=0.1,1 stop",
        f"--say=0.15,2 rate {PROBE_HZ}",
        "--say=0.2,3 mode single",
        "--say=0.25,4 start",
        f"--begin={BEGIN_S}",
        f"--move={turns:.9f},{seconds}",
        f"--words={WORDS_PER_S}",
        f"--bit-us={bit_us}",
        f"--seconds={BEGIN_S + seconds + REST_S}",
    )
    with tempfile.TemporaryDirectory() as folder:
        done = scripted(Path(folder), *script)
    # From heartbeat to heartbeat: what the board counted is known there.
    first, last = done.of(Heartbeat)[0], done.of(Heartbeat)[-1]
    truth = done.truth[INDICATOR]
    samples = [one for one in done.samples(INDICATOR) if first.t_us < one.t_us < last.t_us]
    words = int(((truth.t_us > first.t_us) & (truth.t_us < last.t_us)).sum())
    wrong = int((against_truth(samples, truth)[:, 2] != 0).sum()) if samples else 0
    edges = round(edges_per_s * seconds)
    return Found(edges, edges - last.count, words, len(samples), wrong, last.word_errors - first.word_errors)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run every row, print it; return 1 where something is not as it must be."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=12.0)
    seconds = parser.parse_args(arguments).seconds
    if MISSING:
        print(f"not installed: {', '.join(MISSING)}")
        return 2
    rows = [(AT_BITS_PER_S, bit_us) for bit_us in BITS_US] + [(rate, AT_EDGES_US) for rate in EDGES_PER_S[1:]]
    amiss = 0
    print("edges/s  bit us    edges  lost  words  passed  wrong  refused  silent")
    for rate, bit_us in rows:
        it = run(rate, bit_us, seconds)
        print(
            f"{rate:7d} {bit_us:7d} {it.edges:8d} {it.lost:5d} {it.words:6d} {it.passed:7d} {it.wrong:6d} "
            f"{it.refused:8d} {it.silent:7d}",
            flush=True,
        )
        amiss += it.wrong + (abs(it.silent) > 1) + (it.lost != 0 and rate <= FOLLOWED_PER_S)
    return 1 if amiss else 0


if __name__ == "__main__":
    sys.exit(main())
