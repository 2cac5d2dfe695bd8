"""The bench served on a pseudo-terminal, and recordings from it while they run."""

import io
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from hands import Hand
from running import Ran, fullturn

from logger.practice.bench.bench import Bench
from logger.practice.bench.motion import Lathe
from logger.practice.bench.scenario import Scenario
from logger.practice.serving.ends import PtyEnd
from logger.practice.serving.server import Server
from logger.practice.stories.catalogue import scenario
from logger.recording import RecordingReader

OVER, UNDECIDED = 1, 3
LIMIT = ("--limit", "0.050 mm")


class Served:
    """A bench that turns once a second, with a gauge as quick, served at a port until it is ended."""

    def __init__(self, wrong: Callable[[Scenario], Scenario], link: Path | None = None) -> None:
        """``wrong`` puts something wrong with it; ``link`` is a name the port keeps."""
        good = wrong(scenario("wind-pump/as-found"))
        made = replace(good, motion=Lathe(60.0), gauge=replace(good.gauge, period_us=5_000))
        self._ended, self._end, out = threading.Event(), PtyEnd(), io.StringIO()
        server = Server(Bench(made), self._end, link, out, time.monotonic)
        self._serving = threading.Thread(target=server.run, args=(self._ended.is_set,))
        self._serving.start()
        while not out.getvalue():
            self._serving.join(0.005)
        self.port = str(link or out.getvalue().split()[0])

    def end(self) -> None:
        """Stop serving and close the port; harmless twice."""
        self._ended.set()
        self._serving.join()
        self._end.close()

    def end_when(self, there: Callable[[], bool]) -> threading.Thread:
        """Stop serving as soon as something is there, in a thread of its own."""

        def wait() -> None:
            while not (there() or self._ended.wait(0.005)):
                pass
            self.end()

        waiting = threading.Thread(target=wait)
        waiting.start()
        return waiting


class _PressedEnd(PtyEnd):
    """A port whose board has a button that a test presses, from any thread."""

    def __init__(self) -> None:
        super().__init__()
        self.press: Callable[[], None] = lambda: None
        self.wanted = threading.Event()

    def read(self) -> bytes:
        if self.wanted.is_set():
            self.wanted.clear()
            self.press()
        return super().read()


class ServedByHand:
    """A part on a served bench that stands until a test turns it, and the board's button beside it."""

    def __init__(self) -> None:
        self.hand = Hand()
        made = scenario("wind-pump/as-left")
        made = replace(made, motion=self.hand, gauge=replace(made.gauge, period_us=5_000))
        self._end, self._ended, out = _PressedEnd(), threading.Event(), io.StringIO()
        self._bench = Bench(made)
        self._end.press = lambda: self._bench.press(1, self._bench.now_us)
        server = Server(self._bench, self._end, None, out, time.monotonic)
        self._serving = threading.Thread(target=server.run, args=(self._ended.is_set,))
        self._serving.start()
        while not out.getvalue():
            self._serving.join(0.005)
        self.port = out.getvalue().split()[0]

    def turn(self, turns: float) -> None:
        """Let it be turned so far, a turn a second, and stand then."""
        self.hand.to_turns = self.hand.turns + turns
        self.hand.rpm = 60.0

    def press(self) -> None:
        """Press the board's button."""
        self._end.wanted.set()

    def __enter__(self) -> "ServedByHand":
        return self

    def __exit__(self, *_: object) -> None:
        self._ended.set()
        self._serving.join()
        self._end.close()


@contextmanager
def served(wrong: Callable[[Scenario], Scenario], link: Path | None = None) -> Iterator[Served]:
    """Serve a bench and stop it at the end."""
    made = Served(wrong, link)
    try:
        yield made
    finally:
        made.end()


def nothing(good: Scenario) -> Scenario:
    return good


def closed(path: Path) -> bool:
    reader = RecordingReader(path)
    for _ in reader.items():
        pass
    return reader.closed


def record(home: Path, port: str, *more: object) -> Ran:
    """Record against a limit that the part is over."""
    return fullturn(home, "record", port, *LIMIT, *more, "--json")
