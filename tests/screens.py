"""Windows for tests: a practice bench on a clock that the test moves, shown without any terminal."""

import asyncio
import weakref
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from textual.pilot import Pilot

from logger.acquisition.kept_open import KeptOpen
from logger.acquisition.opening import OpenedSource, SourceRequest
from logger.acquisition.worker import Worker
from logger.batch import BatchPlan
from logger.decoding.rig import Rig, rig_of_setup
from logger.live.batch.part_sessions import PartSessions
from logger.live.console import Console
from logger.live.drawing.display_options import DisplayOptions
from logger.live.job.practice_story import PracticeStory
from logger.live.opening import LiveSession, begin_listening, begin_live, library_of, open_recording
from logger.live.state.ended_sessions import EndedSessions
from logger.live.state.runtime import LiveRuntime
from logger.practice.bench.bench import Bench
from logger.practice.bench.faults import fault as find_fault
from logger.practice.serving.paced_source import PacedPractice
from logger.practice.stories.catalogue import scenario as find_scenario
from logger.screen.app import Window
from logger.settings.settings import Settings, load_settings
from logger.stream import HostTime, Item, LinkBytes, Source


@dataclass
class HandClock:
    """A clock that goes on only when it is told to."""

    now_s: float = 100.0

    def __call__(self) -> float:
        return self.now_s


def settings_in(folder: Path) -> Settings:
    """Return settings that keep everything in one folder."""
    env = {
        "FULLTURN_CONFIG": str(folder / "config"),
        "FULLTURN_DATA": str(folder / "data"),
    }
    return load_settings(environment=env)


@dataclass
class Seat:
    """A console on a practice bench, driven without threads: ``go`` lets time pass."""

    console: Console
    live_session: LiveSession
    clock: HandClock
    settings: Settings
    source: object
    painted: list[str] = field(default_factory=list)

    def go(self, seconds: float, analyse: bool = True) -> None:
        """Let so much time pass, reading and painting as the worker and the timer would."""
        for _ in range(max(1, round(seconds / 0.05))):
            self.clock.now_s += 0.05
            runtime = self.console.runtime
            if not runtime.state.ended:
                if runtime.worker._stop.is_set():
                    end_worker(runtime)  # as its thread would at its next round
                else:
                    runtime.worker._round()
            self.console.tick()
        if analyse:
            self.analyse()

    def analyse(self) -> None:
        """Analyse and keep, as the thread beside the painting would."""
        if self.console.wants_work:
            self.console.work()
        self.console.tick()

    def turn(self, turns: int) -> None:
        """Let time pass until so many turns more have ended."""
        runtime = self.console.runtime
        last = runtime.state.sweep.last
        wanted = (last.result.turn + 1 if last else 0) + turns
        for _ in range(2400):
            self.go(0.05, analyse=False)
            last = runtime.state.sweep.last
            if last and last.result.turn + 1 >= wanted:
                break
        self.analyse()

    def press(self, *keys: str, apart_s: float = 1.0) -> None:
        """Press keys one after the other, slowly, and let each come back through the worker."""
        for key in keys:
            self.clock.now_s += apart_s
            self.console.key(key, self.clock.now_s)
            self.go(0.1, analyse=False)

    def press_twice(self, key: str) -> None:
        """Press a key that is asked for twice, and wait until it is clear that nobody holds it down."""
        self.press(key, key)
        self.go(0.2, analyse=False)

    def enter(self, line: str) -> None:
        """Type a line into what is being asked."""
        prompt, self.console.prompt = self.console.prompt, None
        assert prompt is not None
        prompt.take(line)
        self.go(0.1, analyse=False)

    def text(self, width: int = 80, height: int = 24) -> str:
        """Return the whole window as text."""
        from logger.live.drawing.rows import plain

        return "\n".join(plain(row) for row in self.console.paint(width, height))

    def close(self) -> None:
        """End it as the command does."""
        self.console.guide.close_old()
        self.console.batch.close()
        close_session(self.console.runtime)


_ENDED: weakref.WeakSet[Worker] = weakref.WeakSet()


def end_worker(runtime: LiveRuntime) -> None:
    """Let a worker that is no thread come to its end, once: it takes leave of the board."""
    runtime.worker.stop()
    if runtime.worker not in _ENDED:
        _ENDED.add(runtime.worker)
        runtime.worker._run()


def close_session(runtime: LiveRuntime) -> None:
    """End a session whose worker is no thread."""
    end_worker(runtime)
    if runtime.recorder is not None:
        runtime.recorder._threaded = False
        runtime.finish()


def watched(source: Source, rig: Rig | None = None) -> OpenedSource:
    """Return a source of a test's own as ``open_source`` returns one that a person looks at."""
    return OpenedSource(SourceRequest(source.name, rig=rig, patient=True, watched=True), source)


def practice_seat(
    folder: Path,
    scenario: str = "wind-pump/as-found",
    *,
    fault: str | None = None,
    options: DisplayOptions | None = None,
    override: Mapping[str, str] | None = None,
    bench: Bench | None = None,
    story: bool = False,
    planned: tuple[str, ...] = (),
    port: str = "",
    plan: BatchPlan | None = None,
) -> Seat:
    """Return a seat at a practice bench; with ``story`` the bench moves on with the steps of a job.

    ``planned``: serials of a batch; ``port``: the bench is taken for a board at this port;
    ``plan``: what a batch asks for between its parts.
    """
    clock = HandClock()
    made = bench or Bench(find_scenario(scenario), 1, find_fault(fault) if fault else None)
    source = PacedPractice("", bench=made, clock=clock, wall_ns=lambda: 10**18, wait=lambda s: None)
    source.name = port or source.name
    settings = settings_in(folder)
    opened = watched(KeptOpen(source) if port else source)
    live_session = begin_live(opened, settings, "test", override or {}, clock=clock)

    def another(name: str, seed: int, typed: Mapping[str, str]) -> LiveRuntime:
        bench = Bench(find_scenario(name), seed)
        more = PacedPractice("", bench=bench, clock=clock, wall_ns=lambda: 10**18, wait=lambda s: None)
        return begin_live(watched(more), settings, "test", typed, clock=clock).runtime

    def part(setup: Mapping[str, str], kth: int) -> LiveRuntime:
        if port:
            return begin_live(opened, settings, "test", setup, clock=clock).runtime
        bench = Bench(find_scenario(scenario), 1 + kth, find_fault(fault) if fault else None)
        more = PacedPractice("", bench=bench, clock=clock, wall_ns=lambda: 10**18, wait=lambda s: None)
        return begin_live(watched(more), settings, "test", setup, clock=clock).runtime

    parts = PartSessions(
        part,
        (lambda setup: begin_listening(opened, settings, setup, clock=clock)) if port else None,
        begin=lambda runtime: None,
        halt=end_worker,
        ended=EndedSessions(close_session),
    )
    job = scenario.split("/", maxsplit=1)[0]
    moving = None
    if story:
        moving = PracticeStory(job, another, begin=lambda runtime: None, ended=EndedSessions(close_session))
    console = Console(
        live_session.runtime,
        options or DisplayOptions(),
        library=lambda: library_of(settings),
        story=moving,
        parts=parts,
        planned=planned,
        plan=plan,
        store=settings.store.value,
    )
    return Seat(console, live_session, clock, settings, source)


class FedSource:
    """Items that come at their own times, whatever their gauge; the clock is the test's."""

    name = "/dev/gauge"
    at_end = False

    def __init__(self, items: Sequence[LinkBytes], clock: HandClock, first_ns: int) -> None:
        self._items, self._clock, self._next = items, clock, 0
        self._began_s, self._first_ns = clock.now_s, first_ns
        self.sent = b""

    def now(self) -> HostTime:
        """Return the time the items are at."""
        ns = self._first_ns + round((self._clock.now_s - self._began_s) * 1e9)
        return HostTime(10**18 + ns, ns)

    def read(self, timeout_s: float) -> list[Item]:
        """Return what has come."""
        found: list[Item] = []
        now_ns = self.now().monotonic_ns
        while self._next < len(self._items) and self._items[self._next].host.monotonic_ns <= now_ns:
            found.append(self._items[self._next])
            self._next += 1
        return found

    def write(self, data: bytes) -> None:
        """Keep what was sent."""
        self.sent += data

    def close(self) -> None:
        """Nothing is held."""


def lines_seat(
    folder: Path, items: Sequence[LinkBytes], rig_text: Mapping[str, str], override: Mapping[str, str]
) -> Seat:
    """Return a seat at a gauge that prints lines."""
    clock = HandClock()
    source = FedSource(items, clock, items[0].host.monotonic_ns)
    settings = settings_in(folder)
    rig = rig_of_setup(rig_text)
    live_session = begin_live(watched(source, rig), settings, "test", override, clock=clock)
    console = Console(
        live_session.runtime,
        DisplayOptions(),
        library=lambda: library_of(settings),
    )
    return Seat(console, live_session, clock, settings, source)


def recording_seat(path: Path, folder: Path, *, follow: bool) -> Seat:
    """Return a seat at a recording that is replayed or followed."""
    clock = HandClock()
    settings = settings_in(folder)
    live_session = open_recording(path, settings, {}, follow=follow, clock=clock)
    console = Console(
        live_session.runtime,
        DisplayOptions(),
        library=lambda: library_of(settings),
        replay=live_session.replay,
    )
    return Seat(console, live_session, clock, settings, live_session.runtime.source)


class ShownWindow(Window):
    """A window whose worker is the test itself: nothing runs in a thread."""

    def __init__(self, seat: Seat, **more: object) -> None:
        super().__init__(seat.console, seat.live_session, clock=seat.clock, **more)  # type: ignore[arg-type]
        seat.console.runtime.started = True

    def _analyse(self) -> None:
        """The test studies when it wants to."""


def run_window(
    seat: Seat,
    script: Callable[[ShownWindow, Pilot[None]], Awaitable[None]],
    size: tuple[int, int] = (80, 24),
) -> None:
    """Show a seat in Textual without a terminal and run an async script on it."""

    async def go() -> None:
        window = ShownWindow(seat)
        async with window.run_test(size=size) as pilot:
            await pilot.pause()
            await script(window, pilot)
        window.finish()

    asyncio.run(go())
