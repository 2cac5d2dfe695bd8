"""The reference firmware built and run in its emulator, by script or on a pseudo-terminal, beside its truth.

Every run has the surface of the wind-pump job. Needs the packages that ``firmware-notes/README.md`` names;
where they are missing, ``NEEDED`` skips with the reason.
"""

import atexit
import csv
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

import numpy as np
import pytest
from numpy.typing import NDArray
from places import ROOT

from logger.practice.stories.wind_pump import BALL_PASS_MM, PART
from logger.wire.layout import U32
from logger.wire.messages import Batch, Message, Sample
from logger.wire.parsing import MessageDecoder

SOURCE = ROOT / "firmware-notes" / "reference"
BAUD = 500_000
PER_TURN = 2400
INDEX_WIDTH = 6
INDICATOR, PROBE = 0, 1
INDICATOR_MM = 100e-6
PROBE_MM = 15625 / 64 * 1e-6
Kind = TypeVar("Kind", bound=Message)

GUARD_S = 240.0
"""No run takes so long; only a hung one is ended by it."""

_TOOLS = {"make": "make", "cc": "gcc", "avr-gcc": "gcc-avr"}
_FILES = {
    "/usr/include/simavr/sim_avr.h": "libsimavr-dev",
    "/usr/lib/avr/include/avr/io.h": "avr-libc",
}
MISSING = [package for tool, package in _TOOLS.items() if shutil.which(tool) is None] + [
    package for file, package in _FILES.items() if not Path(file).exists()
]
NEEDED = [
    pytest.mark.emulator,
    pytest.mark.skipif(bool(MISSING), reason=f"not installed: {', '.join(MISSING)}"),
]
"""For ``pytestmark`` of every module that emulates the board."""

SURFACE = (
    *(f"--order={n},{2 * abs(z):.9f},{np.degrees(np.angle(z)) / n:.9f}" for n, z in PART.terms),
    f"--ball-pass={BALL_PASS_MM}",
)
OPENING = ("--say=0.1,1 stop", "--say=0.15,2 rate 1000", "--say=0.2,3 mode single", "--say=0.25,4 start")
"""What a PC says; the part begins to turn at ``start``."""


@lru_cache(maxsize=1)
def _folder() -> Path:
    folder = tempfile.mkdtemp(prefix="firmware-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder)


@lru_cache(maxsize=8)
def make(baud: int = BAUD, first_us: int = 0, first_count: int = 0) -> str:
    """Build firmware and emulator from nothing, apart from the sources' folder; return all that was said."""
    folder = _built(baud, first_us, first_count)
    settings = (f"BAUD={baud}", f"FIRST_US={first_us}", f"FIRST_COUNT={first_count}")
    done = subprocess.run(
        [
            "make",
            "-C",
            str(SOURCE),
            f"OUT={folder}",
            *settings,
            "all",
            "harness",
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr


def _built(*settings: int) -> Path:
    return _folder() / "-".join(map(str, settings))


def _command(arguments: Sequence[str], baud: int, first_us: int = 0, first_count: int = 0) -> list[str]:
    make(baud, first_us, first_count)
    folder = _built(baud, first_us, first_count)
    begins = (f"--first-us={first_us}", f"--first-count={first_count}")
    return [str(folder / "bench"), str(folder / "board.elf"), f"--baud={baud}", *begins, *SURFACE, *arguments]


@dataclass(frozen=True)
class Latches:
    """One channel's readings as they really were, in order: time, count and raw value at each latch."""

    t_us: NDArray[np.int64]
    count: NDArray[np.int64]
    value: NDArray[np.int64]
    boot: NDArray[np.int64]


def read_truth(path: Path) -> tuple[Latches, Latches]:
    """Return the truth of both channels, indicator first."""
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    return _latches(rows, "indicator_raw"), _latches(rows, "analogue_raw")


def _latches(rows: list[dict[str, str]], column: str) -> Latches:
    mine = [
        tuple(int(row[name]) for name in ("t_us", "count", column, "boot")) for row in rows if row[column]
    ]
    return Latches(*np.array(mine, dtype=np.int64).reshape(-1, 4).T)


@dataclass(frozen=True)
class Run:
    """What came of one run."""

    data: bytes
    messages: tuple[Message, ...]
    bad: int
    truth: tuple[Latches, Latches]
    counters: dict[str, float]
    """What the emulator counted, as in the line it ends with."""

    def of(self, kind: type[Kind]) -> list[Kind]:
        """Return the messages of one kind, in order."""
        return [message for message in self.messages if isinstance(message, kind)]

    def samples(self, channel: int) -> list[Sample]:
        """Return every reading of a channel, those in batches too."""
        return samples_of(self.messages, channel)

    @property
    def lost(self) -> int:
        """Frames missing by their numbers."""
        seqs = np.array([message.seq for message in self.messages])
        return int(((np.diff(seqs) - 1) & 0xFFFF).sum())


def samples_of(messages: Sequence[Message], channel: int) -> list[Sample]:
    """Return every reading of a channel, those in batches too, in order."""
    found: list[Sample] = []
    for message in messages:
        if isinstance(message, Sample):
            found.append(message)
        elif isinstance(message, Batch):
            found += message.expand()
    return [sample for sample in found if sample.channel == channel]


def scripted(folder: Path, *arguments: str, baud: int = BAUD, first_us: int = 0, first_count: int = 0) -> Run:
    """Run as fast as it goes, with everything that is said to the board given by simulated time."""
    stream, truth = folder / "stream.bin", folder / "truth.csv"
    options = (f"--stream={stream}", f"--truth={truth}", "--no-port", "--wall=200")
    done = subprocess.run(
        _command((*options, *arguments), baud, first_us, first_count),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=GUARD_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    decoder = MessageDecoder()
    data = stream.read_bytes()
    messages = tuple(decoder.feed(data))
    return Run(data, messages, decoder.bad, read_truth(truth), counters_in(done.stdout))


def counters_in(printed: str) -> dict[str, float]:
    """Return the emulator's counters; it prints one line of ours among those of its library."""
    (line,) = (line for line in printed.splitlines() if line.startswith("BENCH "))
    pairs = (word.split("=") for word in line.split()[1:])
    return {name: float(number) for name, number in pairs}


class PluggedBoard:
    """An emulated board on a pseudo-terminal."""

    def __init__(self, process: subprocess.Popen[str], folder: Path) -> None:
        self._process, self._folder = process, folder
        self.port = str(folder / "port")
        """Leads to the port also after the board was unplugged and plugged in again."""

    def unplug(self) -> dict[str, float]:
        """End the run and return what the emulator counted."""
        return counters_in(self._process.communicate(timeout=GUARD_S)[0])  # closes its standard input

    def truth(self) -> tuple[Latches, Latches]:
        """Return the truth of both channels, once unplugged."""
        return read_truth(self._folder / "truth.csv")

    def sent(self) -> bytes:
        """Return what the board sent, once unplugged."""
        return (self._folder / "stream.bin").read_bytes()


@contextmanager
def plugged(folder: Path, *arguments: str, baud: int = BAUD) -> Iterator[PluggedBoard]:
    """Plug an emulated board in; it is pulled at the end."""
    stream, truth, link = folder / "stream.bin", folder / "truth.csv", folder / "port"
    options = (f"--stream={stream}", f"--truth={truth}", f"--link={link}")
    process = subprocess.Popen(
        _command((*options, *arguments), baud), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        while not (line := process.stdout.readline()).startswith("PORT "):
            assert line, "the emulator ended before it had a port"
        yield PluggedBoard(process, folder)
    finally:
        with process:
            process.kill()


def against_truth(samples: Sequence[Sample], truth: Latches) -> NDArray[np.int64]:
    """Return, for each reading, how far time, count and value are from the latch next to it: shape (n, 3).

    Clock and count may run over once, as they do on the wire.
    """
    reported = np.array([(sample.t_us, sample.count, sample.value) for sample in samples], dtype=np.int64)
    first_us = truth.t_us[0] - 1000  # a reading may be dated a little before the latch it is of
    reported_us, truth_us = (reported[:, 0] - first_us) & U32, (truth.t_us - first_us) & U32
    at = np.clip(np.searchsorted(truth_us, reported_us), 1, len(truth_us) - 1)
    at -= truth_us[at] - reported_us > reported_us - truth_us[at - 1]
    counts = (reported[:, 1] - truth.count[at] + 2**31 & U32) - 2**31
    return np.column_stack([reported_us - truth_us[at], counts, reported[:, 2] - truth.value[at]])
