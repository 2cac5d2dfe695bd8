"""The virtual bench: scenario, seed and commands in, the board's bytes out, in simulated microseconds.

Driven by events, never by a clock: the same seed and the same commands at the same simulated times give the
same bytes, in whatever steps it is advanced. Turning begins with the first ``start``; all that the plant
does is told from there, so what the samples say does not depend on when the opening ended.
"""

from bisect import insort
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from logger.practice.bench.board import Board, BoardKind
from logger.practice.bench.course import Course
from logger.practice.bench.encoder import Encoder
from logger.practice.bench.faults import Fault
from logger.practice.bench.gauge import Gauge
from logger.practice.bench.link import QUEUE_BYTES, RESERVE_BYTES, Link
from logger.practice.bench.scenario import OVERRUN_TURNS, Scenario
from logger.practice.bench.stand import StandMotion
from logger.wire.board_commands import Command

BOOT_US = 20_000
"""From power on, at time 0, to the first hello."""
HEARTBEAT_US = 500_000
PRESS_US = 120_000
"""How long a button is held down."""
_NEVER = 1 << 62

# What can happen next, in the order in which things of the same microsecond happen.
_INPUT, _RESTART, _BOOT, _PULSE, _VALUE, _TICK, _BATCH, _HEARTBEAT = range(8)


class _Plant:
    """What moves and measures, from the first ``start`` on; its times are from there."""

    def __init__(self, scenario: Scenario, seed: str) -> None:
        self.course = Course(scenario.motion.pieces(seed), scenario.encoder.pulse_turns)
        self.encoder = Encoder(scenario.encoder, self.course)
        self.gauge = Gauge(scenario.gauge, seed, self.course)
        self._stand = StandMotion(scenario.stand, self.course)
        self._part = scenario.plant
        self._axial_motion = scenario.axial_motion
        self._direction = -1.0 if scenario.carried else 1.0
        self._second = scenario.second
        self.second_gauge: Gauge | None = None
        if scenario.second is not None:
            self.second_gauge = Gauge(scenario.second.gauge, f"{seed}:second", self.course)

    def surface_mm(self, t_us: int) -> float:
        """Return how far the surface and the stand push the tip in."""
        turns, axial_mm = self._place(t_us)
        return self._part.reading_mm(turns) + axial_mm + self._stand.offset_mm(t_us)

    def second_surface_mm(self, t_us: int) -> float:
        """Return how far the surface pushes the second tip in; its stand is its own and stands still."""
        turns, axial_mm = self._place(t_us)
        return 0.0 if self._second is None else self._second.reading_mm(turns, axial_mm)

    def _place(self, t_us: int) -> tuple[float, float]:
        """Return the angle under the first tip, in turns, and how far the shaft has come toward it."""
        place = self.course.place(t_us)
        turns = self._direction * place.turns
        axial_mm = place.axial_mm
        return turns, axial_mm if self._axial_motion is None else axial_mm + self._axial_motion.reading_mm(
            turns
        )


def _board_kind(scenario: Scenario) -> BoardKind:
    """Return the scenario's board with what is wired to it."""
    second = scenario.second
    scales = () if second is None else (second.gauge.scale_nm,)
    return replace(scenario.board, index=scenario.encoder.index, scales_nm=scales)


class Bench:
    """A bench from power on, for one scenario and seed, with a fault or none."""

    def __init__(
        self, scenario: Scenario, seed: int = 1, fault: Fault | None = None, boots: str = ""
    ) -> None:
        """``boots`` makes the board's boot numbers others: a bench begun again is another boot."""
        self.scenario = scenario if fault is None else fault.put_in(scenario)
        self.now_us = 0
        self.started_us: int | None = None
        """When the first ``start`` was obeyed; None before."""
        self._seed = f"{scenario.name}:{seed}"
        per_turn = self.scenario.encoder.counts_per_turn
        self._link = Link(self.scenario.link, self._seed)
        self._board = Board(
            _board_kind(self.scenario),
            f"{self._seed}{boots}",
            per_turn,
            self.scenario.gauge.scale_nm,
            self._link,
        )
        self._plant: _Plant | None = None
        self._inputs: list[tuple[int, int, Callable[[int], None]]] = []
        self._inputs_queued = 0
        self._value = self._second_value = 0
        self._new = self._second_new = False
        self._tick_us = 0
        self._due = [_NEVER] * 8
        self._due[_BOOT] = BOOT_US
        self._handlers = (
            *(self._on_input, self._on_restart, self._on_boot, self._on_pulse),
            *(self._on_value, self._on_tick, self._on_batch, self._on_heartbeat),
        )

    @property
    def plugged(self) -> bool:
        """Whether the plug is in now."""
        return self._link.plugged(self.now_us)

    def set_unread(self, size: int | None) -> None:
        """Say how many bytes that arrived nobody has taken; None: nobody takes any more.

        What then finds no room in the board's queue is dropped and owned up to.
        """
        self._link.unread_bytes = QUEUE_BYTES + RESERVE_BYTES if size is None else size

    def command(self, data: bytes, at_us: int) -> None:
        """Let bytes from the PC arrive at this time (not before now); with the plug out they are lost."""
        self._input(at_us, lambda t_us: self._receive(data, t_us))

    def press(self, button: int, at_us: int) -> None:
        """Let somebody press a button of the board (1, 2) at this time and let it go."""
        for t_us, down in ((at_us, True), (at_us + PRESS_US, False)):
            self._input(t_us, partial(self._press, button, down))

    def advance(self, to_us: int) -> bytes:
        """Let everything happen up to this time and return the bytes that arrived at the PC by then."""
        due = self._due
        while True:
            next_us = min(due)
            if next_us > to_us:
                break
            what = due.index(next_us)
            due[what] = _NEVER
            self.now_us = max(self.now_us, next_us)
            self._handlers[what](next_us)
        self.now_us = max(self.now_us, to_us)
        return self._link.deliver(self.now_us)

    def time_of(self, turns: float) -> int | None:
        """Return when so many turns (or cycles) are done; None before the first ``start``."""
        if self._plant is None or self.started_us is None:
            return None
        return self.started_us + self._plant.course.time_of(turns)

    def end_us(self, turns: int | None = None) -> int | None:
        """Return when the scenario's turns (or so many) and a little more are done; None before ``start``."""
        return self.time_of((self.scenario.turns if turns is None else turns) + OVERRUN_TURNS)

    def _input(self, at_us: int, happen: Callable[[int], None]) -> None:
        insort(
            self._inputs, (max(at_us, self.now_us), self._inputs_queued, happen), key=lambda each: each[:2]
        )
        self._inputs_queued += 1
        self._due[_INPUT] = self._inputs[0][0]

    def _press(self, button: int, down: bool, t_us: int) -> None:
        if self._board.running:
            self._board.button(t_us, self._count(t_us), button, down)

    def _since_start(self, t_us: int) -> int:
        return t_us - (self.started_us or 0)

    def _count(self, t_us: int) -> int:
        return self._plant.encoder.count(self._since_start(t_us)) if self._plant else 0

    def _receive(self, data: bytes, t_us: int) -> None:
        if self._link.plugged(t_us):
            for command in self._board.receive(data):
                self._obey(command, t_us)

    def _obey(self, command: Command, t_us: int) -> None:
        board = self._board
        before = board.streaming, board.rate_hz
        board.obey(command, t_us, self._count(t_us))
        if board.streaming and self._plant is None:
            self._start(t_us)
        if (board.streaming, board.rate_hz) != before:
            timed = board.streaming and board.rate_hz > 0
            self._tick_us = max(1, round(1e6 / board.rate_hz)) if timed else 0
            self._due[_TICK] = t_us + self._tick_us if timed else _NEVER
        self._due[_BATCH] = board.batch_due_us or _NEVER

    def _start(self, t_us: int) -> None:
        self._plant = plant = _Plant(self.scenario, self._seed)
        self.started_us = t_us
        self._due[_VALUE] = t_us
        self._due[_PULSE] = t_us
        self._link.bites = True
        kind = self.scenario.link
        if kind.unplug_at is not None:
            out_us = t_us + plant.course.time_of(kind.unplug_at)
            self._link.unplugged_us = (out_us, out_us + kind.unplug_us)
        if self.scenario.board.restart_at is not None:
            self._due[_RESTART] = t_us + plant.course.time_of(self.scenario.board.restart_at)

    def _on_input(self, t_us: int) -> None:
        _, _, happen = self._inputs.pop(0)
        happen(t_us)
        self._due[_INPUT] = self._inputs[0][0] if self._inputs else _NEVER

    def _on_restart(self, t_us: int) -> None:
        boot_us = t_us + self.scenario.board.restart_us
        self._board.restart(boot_us, self._count(boot_us))
        self._due[_BOOT] = boot_us
        self._due[_TICK] = self._due[_BATCH] = self._due[_HEARTBEAT] = _NEVER

    def _on_boot(self, t_us: int) -> None:
        self._board.boot(t_us)
        self._due[_HEARTBEAT] = t_us + HEARTBEAT_US

    def _on_pulse(self, t_us: int) -> None:
        if self._plant is None:
            return
        course, encoder = self._plant.course, self._plant.encoder
        at_us = self._since_start(t_us)
        if course.pulses and course.pulses[0].t_us <= at_us:
            pulse = course.pulses.popleft()
            if self._board.running and encoder.kind.index:
                edge = pulse.number * encoder.kind.counts_per_turn
                edge += encoder.kind.pulse_counts if pulse.direction < 0 else 0
                self._board.index(t_us, edge - encoder.missed(at_us), pulse.direction)
        else:
            course.know_until(at_us + 1)
        next_us = course.pulses[0].t_us if course.pulses else course.known_until_us
        self._due[_PULSE] = t_us - at_us + next_us

    def _on_value(self, t_us: int) -> None:
        if self._plant is None:
            return
        gauge = self._plant.gauge
        self._value = gauge.update(self._since_start(t_us), self._plant.surface_mm)
        self._new = True
        if self._plant.second_gauge is not None:
            second = self._plant.second_gauge
            self._second_value = second.update(self._since_start(t_us), self._plant.second_surface_mm)
            self._second_new = True
        self._due[_VALUE] = t_us + gauge.kind.period_us
        if self._board.streaming and self._board.rate_hz == 0:
            self._sample(t_us)

    def _on_tick(self, t_us: int) -> None:
        self._due[_TICK] = t_us + self._tick_us
        self._sample(t_us)

    def _sample(self, t_us: int) -> None:
        self._board.sample(t_us, self._count(t_us), self._value, not self._new)
        self._new = False
        if self.scenario.second is not None:
            self._board.sample(t_us, self._count(t_us), self._second_value, not self._second_new, 1)
            self._second_new = False
        self._due[_BATCH] = self._board.batch_due_us or _NEVER

    def _on_batch(self, t_us: int) -> None:
        self._board.flush(t_us)

    def _on_heartbeat(self, t_us: int) -> None:
        self._board.heartbeat(t_us, self._count(t_us))
        self._due[_HEARTBEAT] = t_us + HEARTBEAT_US
