"""A recording read piece by piece gives the sweep that all its items give together."""

import math
from collections.abc import Callable, Mapping
from pathlib import Path

import numpy as np
import pytest
from decoded_sessions import same
from hypothesis import given, settings, strategies as st
from hypothesis.strategies import SearchStrategy
from small_recordings import RECORDING_ID, STARTED, host

from analysis.capture import Capture
from analysis.capture.events import (
    Event,
    GapCause,
    LinkLost,
    MarkTouched,
    MarkUndone,
    SweepBroken,
    WindowExcluded,
)
from analysis.errors import FullturnError, RecordingError
from analysis.setup import MarkSide
from analysis.sweep import analyse
from logger.decoding import frame_link
from logger.inputs.loading import load_sweep
from logger.recording import RecordingReader, RecordingWriter, read_items, reader
from logger.session import replay
from logger.stream import LinkBytes, RecordedEvent
from logger.wire.framing import encode_frame
from logger.wire.layout import FLAG_HELD, FLAG_OUT_OF_RANGE
from logger.wire.messages import Channel, Hello, Index, Sample

COUNTS = 400
SETUPS: tuple[Mapping[str, str], ...] = (
    {"surface": "outside", "limit": "0.05 mm"},
    {"surface": "face", "limit": "0.05 mm", "sense": "-1", "mark": "index"},
    {"surface": "bore", "holes": "90:8", "gauge_delay": "12 +- 3 ms"},
)
KINDS = (
    "turn",
    "turn",
    "turn",
    "back",
    "rest",
    "mark",
    "window",
    "lost",
    "damage",
    "unplug",
    "restart",
    "scale",
)


class Board:
    """A board that is turned as it is told, and the recording of it."""

    def __init__(self, seed: int, writer: RecordingWriter) -> None:
        self._made = np.random.default_rng(seed)
        self._writer = writer
        self._seq, self._t_us, self._count, self._turns = 0, 0, int(self._made.integers(-900, 900)), 0
        self._boot = 5
        self._nm = 1000
        self.greet()

    def greet(self) -> None:
        self._send(Hello(self._seq, 0, 1, 1, 0, 0, 1, COUNTS, 1000, 100, 1, 0, self._boot, 200_000).encode())
        self._send(Channel(self._seq, 0, 0, 2, 0, self._nm, 1, -(1 << 15), 1 << 15, "probe").encode())

    def do(self, kind: str, size: float) -> None:
        match kind:
            case "turn":
                self._turn(size)
            case "back":
                self._turn(-size)
            case "rest":
                self._samples([self._count] * 20)
            case "mark":
                self._note(MarkTouched(MarkSide.PART, self._count))
            case "window":
                self._note(WindowExcluded(id=int(size * 1e3), from_deg=40.0, to_deg=55.0, reason="keyway"))
            case "lost":
                self._seq += 3
            case "damage":
                self._bytes(bytes(self._made.integers(0, 256, 30).tolist()))
            case "unplug":
                self._note(LinkLost(GapCause.UNPLUGGED))
                self._t_us += 3_000_000
            case "mark-undone":
                self._note(MarkUndone(MarkSide.PART))
            case "broken":
                self._note(SweepBroken())
            case "restart":
                self._boot, self._seq, self._t_us, self._count = self._boot + 1, 0, 0, 0
                self.greet()
            case "scale":
                self._nm = 12_700 // self._nm
                self.greet()

    def _turn(self, turns: float) -> None:
        begun = self._count
        self._samples(
            np.rint(begun + np.linspace(0, turns, 1 + int(abs(turns) * 90)) * COUNTS).astype(int).tolist()
        )

    def _samples(self, counts: list[int]) -> None:
        flags = self._made.choice([0, 0, 0, 0, FLAG_HELD, FLAG_OUT_OF_RANGE], len(counts))
        for count, flag in zip(counts, flags.tolist(), strict=True):
            self._t_us += int(self._made.integers(9_000, 11_000))
            passed = math.floor(count / COUNTS) - math.floor(self._count / COUNTS)
            self._count = count
            if passed:
                self._turns += passed
                self._send(Index(self._seq, self._t_us, count, self._turns).encode())
            angle = 2.0 * math.pi * count / COUNTS
            value = round((60_000 * math.cos(angle - 1.0) + self._made.normal(0, 400)) / self._nm)
            self._send(Sample(self._seq & 0xFFFF, self._t_us, flag, count, value).encode())

    def _send(self, body: bytes) -> None:
        self._seq += 1
        self._bytes(encode_frame(body))

    def _bytes(self, data: bytes) -> None:
        self._writer.link_bytes(LinkBytes(host(self._t_us / 1e3), data))

    def _note(self, event: Event) -> None:
        self._writer.event(RecordedEvent(host(self._t_us / 1e3), event))


def recorded(path: Path, setup: Mapping[str, str], seed: int, doings: list[tuple[str, float]]) -> Path:
    path.unlink(missing_ok=True)
    with RecordingWriter(
        path,
        setup=dict(setup),
        recording_id=RECORDING_ID,
        started=STARTED,
        version="test",
        clock=lambda: host(0),
    ) as writer:
        board = Board(seed, writer)
        for kind, size in doings:
            board.do(kind, size)
    return path


DOINGS: SearchStrategy[list[tuple[str, float]]] = st.lists(
    st.tuples(st.sampled_from(KINDS), st.floats(0.05, 2.6)), min_size=1, max_size=9
)


def captured(read: Callable[[], Capture]) -> Capture | FullturnError:
    """A capture, or why there is none."""
    try:
        return read()
    except FullturnError as error:
        return error


def outcome(capture: Capture | FullturnError) -> str:
    """What an analysis says, or why it says nothing."""
    if isinstance(capture, FullturnError):
        return f"{type(capture).__name__}: {capture}"
    try:
        return repr(analyse(capture))
    except FullturnError as error:
        return f"{type(error).__name__}: {error}"


@given(st.integers(0, 2**32 - 1), st.sampled_from(SETUPS), DOINGS, st.sampled_from((300, 5_000, 1 << 20)))
@settings(max_examples=60, deadline=None)
def test_piece_by_piece_is_the_whole(
    tmp_path_factory: pytest.TempPathFactory,
    seed: int,
    setup: Mapping[str, str],
    doings: list[tuple[str, float]],
    piece: int,
) -> None:
    path = recorded(tmp_path_factory.getbasetemp() / "drawn.mcap", setup, seed, doings)
    whole = captured(lambda: replay(read_items(path), RecordingReader(path).setup).capture())
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(frame_link, "BULK_BYTES", piece)
        patched.setattr(reader, "BLOCK", 2 * piece)
        loaded = captured(lambda: load_sweep(str(path), {}).capture)
        assert outcome(loaded) == outcome(whole)
        if isinstance(whole, FullturnError) or isinstance(loaded, FullturnError):
            return
        same(loaded, whole)
    assert (loaded.restarted_s, loaded.u_angle_rad) == (whole.restarted_s, whole.u_angle_rad)


def test_an_ordinary_recording_is_read_piece_by_piece_and_its_samples_not_again(tmp_path: Path) -> None:
    doings = [("mark", 0.0), ("turn", 3.3)]
    path = recorded(tmp_path / "ordinary.mcap", {**SETUPS[0], "gauge_delay": "0 +- 0 ms"}, 1, doings)
    capture = load_sweep(str(path), {}).capture
    path.unlink()  # whoever asked for samples now would get none
    assert analyse(capture).pooled.tir_fit.value == pytest.approx(0.12, abs=0.001)
    with pytest.raises(RecordingError):
        len(capture.samples)


@pytest.mark.parametrize("also", [("mark-undone", 0.0), ("broken", 0.0)])
def test_what_changes_the_past_is_read_as_a_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, also: tuple[str, float]
) -> None:
    path = recorded(tmp_path / "past.mcap", SETUPS[0], 1, [("mark", 0.0), ("turn", 3.3), also, ("turn", 2.2)])
    capture = load_sweep(str(path), {}).capture
    assert capture.samples.known is None


def test_a_note_that_only_the_proven_reading_finds_is_not_missed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = recorded(tmp_path / "noted.mcap", SETUPS[0], 1, [("turn", 2.4), ("mark", 0.0), ("turn", 3.3)])
    monkeypatch.setattr(RecordingReader, "notes", lambda self: iter(()))
    read = load_sweep(str(path), {}).capture
    same(read, replay(read_items(path), RecordingReader(path).setup).capture())
