"""Whatever comes: a recording holds exactly the bytes that came, ends when asked, and is read to its end.

Real pseudo-terminals, files and threads; every seed is fixed. Work is counted in lines that run.
"""

import os
import random
import threading
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from boards import ScriptedBoard, host
from pseudo_terminals import cable
from small_recordings import bench_items, write
from work_done import at_most

from analysis.errors import BadInput, FullturnError
from logger.acquisition.recording_end import Until
from logger.acquisition.worker import Worker
from logger.acquisition.worker_messages import WorkerEnded
from logger.commands.options import read_setup_file
from logger.decoding.rig import read_rig, rig_of_setup
from logger.inputs.csv_file import read_csv
from logger.inputs.loading import load_sweep
from logger.recording import RecordingReader, RecordingWriter, check_file
from logger.session import Session
from logger.settings import load_settings, saved_setups
from logger.sources import KnownBoards, PortSource
from logger.stream import LinkBytes

RIG = {
    "rig.line.pattern": r"^(?P<time>\d+) (?P<count>-?\d+) (?P<reading>\S+)$",
    "rig.encoder.counts_per_turn": "2400",
}


def came_to(read: Callable[[], object]) -> str:
    """Return what reading came to: the words of its refusal, or that it was read."""
    try:
        read()
    except FullturnError as error:
        return str(error)
    return "read"


def greeted() -> ScriptedBoard:
    board = ScriptedBoard()
    board.greet()
    board.describe()
    return board


def noise(rng: random.Random) -> bytes:
    """Bytes at random."""
    return rng.randbytes(20_000)


def zeros(rng: random.Random) -> bytes:
    """Nothing but ends of frames."""
    return bytes(20_000)


def without_end(rng: random.Random) -> bytes:
    """One frame, or line, that never ends."""
    return b"\x07" * 20_000


def wild_counts(rng: random.Random) -> bytes:
    """Good checksums, counts and times of no board."""
    board = greeted()
    for _ in range(800):
        board.sample(rng.getrandbits(32), rng.getrandbits(32), rng.getrandbits(31))
    return board.take()


def any_message(rng: random.Random) -> bytes:
    """Good checksums, messages of every kind in any order, with any values."""
    board = greeted()
    does: list[Callable[[int], None]] = [
        lambda n: board.sample(n, n, n >> 1),
        lambda n: board.index(n, n, n >> 2),
        lambda n: board.button(n, n, n & 3, n & 1),
        lambda n: board.beat(n, n, dropped=n & 0xFFFF, enc_errors=n & 0xFFFF),
        lambda n: board.greet(boot_id=n & 3, per_turn=n & 0xFFF),
        lambda n: board.describe(n & 15, kind=1 + n % 4, sign=n & 1, scale_nm=(n & 0xFFFF) - 0x8000),
    ]
    for _ in range(600):
        rng.choice(does)(rng.getrandbits(32))
    return board.take()


def damaged(rng: random.Random) -> bytes:
    """A good turn with bytes flipped, dropped and put in."""
    board = greeted()
    board.turn(range(0, 5000, 12))
    data = bytearray(board.take())
    for _ in range(60):
        at = rng.randrange(len(data))
        data[at : at + rng.randrange(4)] = rng.randbytes(rng.randrange(4))
    return bytes(data)


def lines(rng: random.Random) -> bytes:
    """Lines with numbers of any length, and what is none."""
    numbers = ["0", "-1", "9" * 30, "1e308", "-1e-320", "nan", "inf", "1_0", "", "0x10", "9" * 900]
    return "\n".join(" ".join(rng.choices(numbers, k=3)) for _ in range(300)).encode()


KINDS = [noise, zeros, without_end, wild_counts, any_message, damaged, lines]
SETUPS: Mapping[str, Mapping[str, str]] = {"frames": {}, "lines": RIG}


@pytest.fixture(
    params=[(kind, seed) for kind in KINDS for seed in range(2)],
    ids=lambda one: f"{one[0].__name__} {one[1]}",
)
def came(request: pytest.FixtureRequest) -> bytes:
    kind, seed = request.param
    return kind(random.Random(seed))


def recorded(
    path: Path, port: str, setup: Mapping[str, str], came: bytes, send: Callable[[bytes], None]
) -> WorkerEnded:
    """Record all that is sent at a port, then ask for the end; return what the worker says last."""
    source = PortSource(port, picked=True)
    with RecordingWriter(
        path, setup=setup, recording_id="r", started="2026-01-05T08:00:00Z", version="0", clock=source.now,
        encodings={0: "lines"} if setup else None, fsync=lambda _: None,
    ) as writer:  # fmt: skip
        session = Session()
        session.change_setup(setup)
        worker = Worker(source, session, writer=writer, until=Until(turns=1_000_000))
        all_there = threading.Event()
        take = worker._writing.take

        def watched(item: object) -> None:
            take(item)  # type: ignore[arg-type]
            if worker.link_bytes >= len(came):
                all_there.set()

        worker._writing.take = watched  # type: ignore[method-assign]
        worker.start()
        send(came)
        assert all_there.wait(60)
        worker.stop()
        worker.join()
    assert worker.fault is None
    messages = [worker.messages.get() for _ in range(worker.messages.qsize())]
    assert isinstance(messages[-1], WorkerEnded)
    return messages[-1]


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="this system has no pseudo-terminals")
@pytest.mark.parametrize("setup", SETUPS.values(), ids=SETUPS)
def test_a_recording_at_a_port_holds_the_bytes_that_came_and_ends_when_asked(
    tmp_path: Path, came: bytes, setup: Mapping[str, str]
):
    path = tmp_path / "a.mcap"
    with cable() as plugged:

        def send(data: bytes) -> None:
            for at in range(0, len(data), 500):
                plugged.send(data[at : at + 500])

        ended = recorded(path, plugged.path, setup, came, send)
    assert ended.error is None
    reader = RecordingReader(path)
    kept = b"".join(item.data for item in reader.items() if isinstance(item, LinkBytes))
    assert (kept, reader.closed, reader.skipped_bytes) == (came, True, 0)


@pytest.mark.parametrize("setup", SETUPS.values(), ids=SETUPS)
def test_a_recording_of_them_is_read_to_its_end_or_refused_in_words(
    tmp_path: Path, came: bytes, setup: Mapping[str, str]
):
    blocks = [LinkBytes(host(0.02 * k), came[at : at + 400]) for k, at in enumerate(range(0, len(came), 400))]
    path = write(tmp_path / "a.mcap", blocks, setup=setup, encodings={0: "lines"} if setup else None)
    with at_most(100 * len(came) + 100_000):
        assert check_file(path).skipped_bytes == 0
        assert came_to(lambda: load_sweep(str(path), {}))


# --- files that no program of ours wrote ------------------------------------------------------------------------


def spoilt(data: bytes, rng: random.Random) -> bytes:
    """Flip, drop, put in and double bytes."""
    spoiling = bytearray(data)
    for _ in range(rng.choice((1, 5, 40))):
        at, length = rng.randrange(len(spoiling) + 1), rng.choice((1, 2, 30))
        spoiling[at : at + rng.choice((0, length))] = rng.choice(
            (rng.randbytes(length), bytes(spoiling[at // 2 : at // 2 + length]), b"\x00" * length)
        )
    return bytes(spoiling)


def read_recording(path: Path) -> object:
    check_file(path)
    return load_sweep(str(path), {}).capture


READERS: dict[str, tuple[str, Callable[[Path], object]]] = {
    "recording": ("a.mcap", read_recording),
    "csv": ("a.csv", lambda path: read_csv(path, {})),
    "rig": ("a.toml", lambda path: read_rig(str(path))),
    "settings": (
        "settings.toml",
        lambda path: load_settings(environment={"FULLTURN_CONFIG": str(path.parent)}),
    ),
    "known boards": ("known.toml", lambda path: KnownBoards(path.parent).boards()),
    "set-up": ("part-a.toml", saved_setups.read),
    "set-up given": ("a.toml", lambda path: read_setup_file(str(path))),
}
TEXTS = {
    "settings.toml": 'units = "mm"\ndata = "here"\nstore = "a.db"\n',
    "known.toml": '[[board]]\npath = "/dev/ttyACM0"\nserial = "5"\nvendor_id = 9025\nproduct_id = 67\n',
    "part-a.toml": 'part = "disc"\nlimit = "0.05 mm"\nchannel = "0"\nholes = "0 90 180"\n',
}
NESTED = ["a = " + "[" * 5000, "a = " + "9" * 5000, "a = 0x" + "f" * 5000, "a" + ".a" * 5000 + " = 1", "\x00"]


def written(path: Path) -> bytes:
    """Return a good file of a kind."""
    if path.suffix == ".mcap":
        return write(path, bench_items(20)).read_bytes()
    if path.suffix == ".csv":
        rows = "".join(f"{k * 0.02:.2f},{k * 1.8:.1f},{k % 7 / 1000},1\n" for k in range(300))
        return f"# part = disc\nt_s,angle_deg,reading_mm,new\n{rows}".encode()
    if path.name in TEXTS:
        return TEXTS[path.name].encode()
    return (
        b"[line]\npattern = '^(?P<time>\\d+) (?P<count>-?\\d+) (?P<reading>-?\\d+\\.\\d+)$'\nunit = 'mm'\n"
        b"[encoder]\ncounts_per_turn = 2400\n[port]\nbaud = 115200\n"
    )


@pytest.mark.parametrize("kind", READERS)
@pytest.mark.parametrize("seed", range(25))
def test_a_spoilt_file_is_read_or_refused_in_words_and_in_bounded_work(tmp_path: Path, kind: str, seed: int):
    name, read = READERS[kind]
    path, rng = tmp_path / name, random.Random(seed)
    data = spoilt(written(path), rng)
    path.write_bytes(data)
    with at_most(200 * len(data) + 200_000):
        assert came_to(lambda: read(path))


@pytest.mark.parametrize("kind", [kind for kind, (name, _) in READERS.items() if name.endswith(".toml")])
@pytest.mark.parametrize("text", NESTED, ids=range(len(NESTED)))
def test_depths_and_numbers_that_no_reader_takes_are_refused_in_words(tmp_path: Path, kind: str, text: str):
    name, read = READERS[kind]
    (tmp_path / name).write_text(text)
    assert came_to(lambda: read(tmp_path / name))


@pytest.mark.parametrize("seed", range(40))
def test_a_pattern_at_random_is_refused_or_done_with_every_line(seed: int):
    rng = random.Random(seed)
    parts = ["(", ")", "*", "+", "?", "|", ".", "a", "\\d", "[ab]", "(?:", "{2,}", "$", "^", "{3}", "\\s"]
    for _ in range(60):
        pattern = "".join(rng.choices(parts, k=rng.randrange(1, 14))) + r"(?P<reading>\d+)"
        try:
            rig = rig_of_setup({"rig.line.pattern": pattern})
        except BadInput:
            continue
        assert rig is not None
        for text in ("a" * 1000, "1" * 1000, "ab" * 500, "1 a" * 333):
            rig.line.pattern.search(text[: rig.line.longest] + "!")
