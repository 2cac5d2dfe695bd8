"""The bench in real time: paced by a clock, on a real pseudo-terminal, on TCP, and never blocked."""

import io
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import serial

from analysis.errors import BadInput
from logger.practice.bench.bench import Bench
from logger.practice.bench.faults import fault
from logger.practice.serving.ends import PtyEnd, TcpEnd, pty_available
from logger.practice.serving.server import LEAP_US, POLL_S, Server, serve_pty, serve_tcp
from logger.practice.stories.catalogue import scenario
from logger.wire.handshake import Handshake
from logger.wire.messages import Heartbeat, Hello, Message, Sample
from logger.wire.parsing import MessageDecoder

needs_pty = pytest.mark.skipif(not pty_available(), reason="this system has no pseudo-terminals")
REAL_S = 10.0  # a real port that has not answered by then never will; never waited for in full


class Hands:
    """A clock and an end in one: time goes on by waiting, and everything handed over is kept."""

    def __init__(self, has_reader: bool = True) -> None:
        self.now_s = 0.0
        self.opened = 0
        self.closed = 0
        self.out = b""
        self.commands: list[bytes] = []
        self.has_reader = has_reader
        self.room = 1 << 30

    def clock(self) -> float:
        return self.now_s

    def open(self) -> str:
        self.opened += 1
        return f"/port/{self.opened}"

    def close(self) -> None:
        self.closed += 1

    def wait(self, seconds: float) -> None:
        self.now_s += seconds

    def read(self) -> bytes:
        return self.commands.pop(0) if self.commands else b""

    def write(self, data: bytes) -> int:
        accepted = data[: self.room] if self.has_reader else b""
        self.out += accepted
        return len(accepted)

    def until(self, seconds: float) -> Callable[[], bool]:
        """Return what says that so much time has gone."""
        return lambda: self.now_s >= seconds


def served(hands: Hands, bench: Bench, link: Path | None = None) -> tuple[Server, io.StringIO]:
    out = io.StringIO()
    return Server(bench, hands, link, out, hands.clock), out


def good_bench() -> Bench:
    return Bench(scenario("wind-pump"))


def test_the_port_alone_is_the_first_line() -> None:
    server, out = served(Hands(), good_bench())
    server.run(lambda: True)
    assert out.getvalue() == "/port/1\n"


def test_the_bench_keeps_pace_with_the_clock() -> None:
    hands, bench = Hands(), good_bench()
    served(hands, bench)[0].run(hands.until(3.0))
    assert bench.now_us == pytest.approx(3_000_000, abs=POLL_S * 1e6)


def test_a_command_starts_the_turning() -> None:
    hands, bench = Hands(), good_bench()
    hands.commands = [b"", b"", b"", b"1 start\n"]
    served(hands, bench)[0].run(hands.until(2.0))
    samples = [m for m in MessageDecoder().feed(hands.out) if isinstance(m, Sample)]
    assert len(samples) == pytest.approx(98, abs=1)  # 1.96 s of 50 a second


def test_a_bench_that_slept_stands_still_for_the_rest() -> None:
    hands, bench = Hands(), good_bench()
    slept: list[float] = []

    def stop() -> bool:
        if hands.now_s > 0.5 and not slept:
            slept.append(hands.now_s)
            hands.now_s += 3600.0
        return hands.now_s > 3601.0

    served(hands, bench)[0].run(stop)
    assert bench.now_us <= 1_000_000 + LEAP_US  # a second awake in all


def test_the_link_points_at_the_port_while_it_is_there(tmp_path: Path) -> None:
    link = tmp_path / "bench"
    server, _ = served(Hands(), good_bench(), link)
    server.run(lambda: True)
    assert os.readlink(link) == "/port/1"


def test_what_nobody_takes_is_dropped_and_owned_up_to() -> None:
    hands, bench = Hands(has_reader=False), good_bench()
    hands.commands = [b"", b"", b"", b"1 start\n"]
    server, _ = served(hands, bench)
    server.run(hands.until(10.0))
    hands.has_reader = True
    server_end_s = hands.now_s + 1.0
    while hands.now_s < server_end_s:
        hands.wait(POLL_S)
        server.step(round(hands.now_s * 1e6))
    decoder = MessageDecoder()
    messages = decoder.feed(hands.out)
    dropped = [m.dropped for m in messages if isinstance(m, Heartbeat)][-1]
    sent = sum(isinstance(m, Sample) for m in messages)
    assert (decoder.bad, dropped > 400) == (0, True)
    assert dropped + sent == pytest.approx(548, abs=27)  # 10.96 s, the last half of one after the heartbeat


def test_a_reader_that_takes_little_at_a_time_gets_whole_frames() -> None:
    hands, bench = Hands(), good_bench()
    hands.room = 7
    hands.commands = [b"", b"", b"", b"1 rate 500\n", b"2 start\n"]
    served(hands, bench)[0].run(hands.until(5.0))
    decoder = MessageDecoder()
    messages = decoder.feed(hands.out)
    assert decoder.bad == 0
    assert [m.dropped for m in messages if isinstance(m, Heartbeat)][-1] > 0


def test_a_pulled_plug_closes_the_port_and_opens_it_again(tmp_path: Path) -> None:
    hands = Hands()
    bench = Bench(scenario("wind-pump"), fault=fault("unplug"))
    hands.commands = [b"", b"", b"", b"1 start\n"]
    link = tmp_path / "bench"
    server, out = served(hands, bench, link)
    linked: list[bool] = []

    def stop() -> bool:
        linked.append(link.is_symlink())
        return hands.now_s > 25.0

    server.run(stop)
    assert (out.getvalue(), hands.closed) == ("/port/1\n/port/2\n", 1)
    assert linked.count(False) == pytest.approx(300, abs=2)  # 3 s of rounds of 10 ms
    assert os.readlink(link) == "/port/2"


def test_a_file_in_the_links_place_is_refused_and_left_alone(tmp_path: Path) -> None:
    occupied = tmp_path / "notes.txt"
    occupied.write_text("mine")
    with pytest.raises(BadInput, match=r"notes\.txt"):
        serve_pty("wind-pump", link_path=occupied, out=io.StringIO(), stop=lambda: True)
    assert occupied.read_text() == "mine"


def test_an_unknown_scenario_is_refused_before_a_port_opens() -> None:
    out = io.StringIO()
    with pytest.raises(BadInput):
        serve_tcp("steam-engine", out=out, stop=lambda: True)
    assert out.getvalue() == ""


# The real thing: a pseudo-terminal or a socket, opened by the serial library.


class Lines(io.StringIO):
    """Standard output of a bench in a thread: the first line can be waited for."""

    def __init__(self) -> None:
        super().__init__()
        self.written = threading.Event()

    def flush(self) -> None:
        self.written.set()


@contextmanager
def in_thread(serve: Callable[..., None], *args: object, **options: object) -> Iterator[str]:
    """Serve in a thread and give the port; end it afterwards."""
    out, ended = Lines(), threading.Event()
    thread = threading.Thread(target=serve, args=args, kwargs={**options, "out": out, "stop": ended.is_set})
    thread.start()
    try:
        assert out.written.wait(REAL_S)
        yield out.getvalue().splitlines()[0]
    finally:
        ended.set()
        thread.join(REAL_S)
    assert not thread.is_alive()


def read_samples(port: str, samples: int) -> tuple[list[Message], int]:
    """Open a port, go through the opening and read so many samples; return messages and bad frames."""
    decoder, opening = MessageDecoder(), Handshake()
    messages: list[Message] = []
    with serial.serial_for_url(port, baudrate=500_000, timeout=0.02) as line:
        reads = 0
        while sum(isinstance(message, Sample) for message in messages) < samples:
            reads += 1
            assert reads < REAL_S / 0.02, f"{opening.state} {opening.problem}"
            line.write(opening.poll(reads * 0.02))
            for message in decoder.feed(line.read(4096)):
                messages.append(message)
                opening.receive(message, reads * 0.02)
    return messages, decoder.bad


@needs_pty
def test_a_reader_on_a_pseudo_terminal_gets_samples() -> None:
    with in_thread(serve_pty, "wind-pump") as port:
        messages, bad = read_samples(port, 10)
    assert (bad, any(isinstance(message, Hello) for message in messages)) == (0, True)


@needs_pty
def test_the_next_reader_meets_the_same_board_still_turning() -> None:
    with in_thread(serve_pty, "wind-pump") as port:
        first, _ = read_samples(port, 10)
        second, _ = read_samples(port, 10)
    boots = [next(m.boot_id for m in messages if isinstance(m, Hello)) for messages in (first, second)]
    times = [[m.t_us for m in messages if isinstance(m, Sample)] for messages in (first, second)]
    assert boots[0] == boots[1]
    assert times[0][-1] < times[1][-1]


@needs_pty
def test_the_symbolic_link_can_be_opened_and_is_gone_afterwards(tmp_path: Path) -> None:
    link = tmp_path / "bench"
    with in_thread(serve_pty, "wind-pump", link_path=link):
        messages, _ = read_samples(str(link), 3)
    assert messages
    assert not os.path.lexists(link)


def test_a_reader_on_tcp_gets_samples() -> None:
    with in_thread(serve_tcp, "wind-pump") as port:
        messages, bad = read_samples(port, 10)
    assert (bad, any(isinstance(message, Hello) for message in messages)) == (0, True)


def test_on_tcp_the_next_reader_is_let_in_when_the_first_has_gone() -> None:
    with in_thread(serve_tcp, "wind-pump") as port:
        read_samples(port, 3)
        messages, _ = read_samples(port, 3)
    assert messages


def test_a_tcp_bench_is_on_this_machine_only() -> None:
    with in_thread(serve_tcp, "wind-pump") as port:
        assert port.startswith("socket://127.0.0.1:")


def test_a_tcp_port_comes_back_under_its_own_number() -> None:
    end = TcpEnd()
    try:
        first = end.open()
        end.close()
        assert end.open() == first
    finally:
        end.close()


@needs_pty
def test_a_pseudo_terminal_that_is_not_read_says_so_and_never_blocks() -> None:
    end = PtyEnd()
    end.open()
    try:
        assert end.has_reader
        for _ in range(200):
            end.write(bytes(4096))
        # The kernel hands bytes to the reader's side in its own time: on a busy machine not at once.
        tries = 0
        while end.has_reader and tries < 1000:
            threading.Event().wait(0.005)
            tries += 1
        assert not end.has_reader
    finally:
        end.close()


@needs_pty
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_it_cleanly(tmp_path: Path, number: signal.Signals) -> None:
    link = tmp_path / "bench"
    program = f"from logger.practice.serving.server import serve_pty; serve_pty('wind-pump', link_path={str(link)!r})"
    with subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True) as bench:
        assert bench.stdout is not None
        port = bench.stdout.readline().strip()
        assert os.readlink(link) == port
        bench.send_signal(number)
        assert bench.wait(REAL_S) == 0
    assert not os.path.lexists(link)
