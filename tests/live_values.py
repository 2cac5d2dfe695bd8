"""Values of the live screen for tests: states made by hand, and what a session would make of their effects."""

from dataclasses import replace

import numpy as np

from analysis.capture.angle_source import AngleSource
from analysis.capture.events import Event, MarkTouched, MarkUndone, TurnExcluded
from analysis.capture.samples import Capture, Samples
from analysis.capture.turns import Turn
from analysis.results import TurnResult
from analysis.setup.choices import MarkSide
from analysis.setup.parse import parse_setup
from logger.live.state.effects import Announce, Record, SetExtremes
from logger.live.state.messages import Intent, Message, MessageShown, ShowText, TurnEnded
from logger.live.state.reading import BoardReport, LiveReading
from logger.live.state.state import FinishedTurn, LinkState, LiveState, Role, SweepState
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.update import update
from logger.session.turn_detector import FinishedTurnSamples
from logger.stream import HostTime

COUNT = 1234
"""The encoder's count in these states."""
ANSWER = SweepSoFar(None, "too short", None, None, None)
EXCLUDED = TurnExcluded(id=1, turn=0, from_s=0.0, to_s=8.0, reason="slipped")


def finished_turn(number: int = 0, tir_mm: float = 0.1, gap_deg: float = 2.0) -> FinishedTurn:
    """Return a turn that took eight seconds."""
    start_s = 8.0 * number
    result = TurnResult(
        number, 1, 800, 80, 1.0, gap_deg, 7.5, tir_mm, tir_mm, tir_mm, 63.0, np.zeros(1, complex), start_s,
        start_s + 8.0,
    )  # fmt: skip
    return FinishedTurn(result, start_s, start_s + 8.0)


def turn_ended(number: int = 0, tir_mm: float = 0.1, gap_deg: float = 2.0) -> TurnEnded:
    """Return the message that such a turn has ended; its samples are two readings."""
    turn = finished_turn(number, tir_mm, gap_deg)
    samples = Samples(
        np.array([0.0, 1.0]), np.array([0.0, 3.0]), np.array([0.5, 0.6]), np.array([True, True]),
        np.array([False, False]), np.zeros(2, np.int16),
    )  # fmt: skip
    whole = Turn(number, 1, 0, np.array([0, 1]), turn.start_s, turn.end_s)
    capture = Capture(samples, parse_setup({}))
    return TurnEnded(turn, FinishedTurnSamples(number, whole, capture, HostTime(0, 0), None))


def live_state(role: Role = Role.OWNER, *, turns: int = 1, setup: dict[str, str] | None = None) -> LiveState:
    """Return a session in the middle of a sweep: all is well, so many turns have ended."""
    return LiveState(
        role,
        name="port",
        setup=parse_setup(setup or {}),
        reading=LiveReading(
            reading_mm=1.25,
            angle_rad=0.5,
            new_ns=10**9,
            newest_ns=10**9,
            period_s=0.1,
            counts_per_s=0.0,
            counts_moved=0.0,
            high=(1.3, 60.0),
            low=(1.2, 240.0),
        ),
        board=BoardReport(
            angle_source=AngleSource.ENCODER, count=COUNT, counts_per_turn=2400.0, heard_ns=10**9
        ),
        link=LinkState.HERE,
        sweep=SweepState(tuple(finished_turn(k) for k in range(turns))),
    )


def lived(state: LiveState, *messages: Message) -> LiveState:
    """Return the state after messages, every event that was asked for come back as from a worker."""
    for message in messages:
        state, wanted = update(state, message)
        for effect in wanted:
            match effect:
                case Record(event):
                    state = lived(_session_after(state, event), event)
                case ShowText(words):
                    state = lived(state, MessageShown(words, 6.0))
                case SetExtremes(high, low):
                    state = replace(state, reading=replace(state.reading, high=high, low=low))
    return state


def _session_after(state: LiveState, event: object) -> LiveState:
    match event:
        case MarkTouched(on, count):
            mark: int | None = count
        case MarkUndone(on):
            mark = None
        case _:
            return state
    name = "part_mark" if on is MarkSide.PART else "arbor_mark"
    return replace(state, board=replace(state.board, **{name: mark}))


def wanted_of(state: LiveState, message: Event | Intent) -> tuple[object, ...]:
    """Return what a message asks for, but that an event is announced."""
    return tuple(one for one in update(state, message)[1] if not isinstance(one, Announce))


def displayed(state: LiveState) -> tuple[object, ...]:
    """Return everything that can be taken back."""
    sweep, reading = state.sweep, state.reading
    excluded = frozenset(sweep.excluded)
    return state.display.zero_mm, sweep.starred, excluded, state.board.part_mark, reading.high, reading.low
