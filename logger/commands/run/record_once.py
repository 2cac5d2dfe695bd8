"""One recording from an opened source to its end: stored turn by turn, read back, analysed."""

import shlex
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, assert_never

import click

from analysis.capture.events import MarkTouched, NotDecoded, StopPressed
from analysis.errors import BadInput, FullturnError, LinkError
from analysis.setup import AngleFrom, parse_setup
from analysis.sweep import check_limit
from logger.acquisition import (
    BoardStarted,
    EventTaken,
    OpenedSource,
    Recorded,
    Recorder,
    SourceRequest,
    StopRead,
    TurnStore,
    Until,
    Warned,
    WorkerEnded,
    WorkerMessage,
    check_out,
    check_store,
    make_folder,
    open_source,
    register_of,
    with_looks,
)
from logger.commands.end_signals import EndSignals
from logger.commands.exit_status import with_recording_path
from logger.commands.keypress import Keys
from logger.commands.run.chosen_store import chosen_store, store_option
from logger.commands.run.reported_sweep import report_sweep
from logger.inputs import LoadedSweep, load_recorded, load_sweep
from logger.program_version import PROGRAM_VERSION
from logger.session import FinishedTurnSamples
from logger.settings import Settings


@dataclass(frozen=True)
class RecordRequest:
    """What the command line asks of each recording."""

    source: SourceRequest
    turns: int | None
    seconds: float | None
    out: Path | None
    use_store: bool
    override: dict[str, str]


@dataclass(frozen=True)
class RecordOutcome:
    """One recording, analysed."""

    as_json: dict[str, Any] | None
    """None where it was ended before it held a sweep: then there is nothing to print."""
    text: str
    status: int


@dataclass(frozen=True)
class MarkAtStart:
    """The mark stood under the tip at this count, in this boot of the board."""

    count: int
    boot_id: int | None


ENDED_EMPTY = RecordOutcome(None, "", 0)
"""Of a recording that a person ended before it held a sweep."""


def record_once(request: RecordRequest, settings: Settings, signals: EndSignals) -> RecordOutcome:
    """Open the source, record it to its end and analyse it; ``signals`` end it. Raises FullturnError."""
    check_record(request, settings)
    return record_opened(open_source(request.source, settings.config_folder), request, settings, signals)


def check_record(request: RecordRequest, settings: Settings) -> None:
    """Refuse what cannot be recorded or kept, before anything is opened. Raises FullturnError."""
    if request.out is not None:
        check_out(request.out)
    parse_setup(request.override)
    if request.use_store:
        # Refused before anything is opened: from the first byte on no store ends a recording any more.
        check_store(chosen_store(settings))


def record_opened(
    opened: OpenedSource,
    request: RecordRequest,
    settings: Settings,
    signals: EndSignals,
    mark: MarkAtStart | None = None,
) -> RecordOutcome:
    """Record an open source to its end, and analyse it; ``mark`` stood under the tip at its beginning."""
    try:
        where = settings.store.value if request.use_store else None
        register = register_of(where, _say)
        text = with_looks(register.applied(opened.setup(request.override)), request.turns, where, _say)
        checked = parse_setup(text)
        check_limit(checked.limit, checked)
        until = Until(request.turns, request.seconds)
        if request.out is not None:
            recorder = opened.record(request.out, text, PROGRAM_VERSION, until=until)
        else:
            make_folder(settings.data_folder)
            recorder = opened.record_unnamed(
                settings.data_folder, text, PROGRAM_VERSION, now=datetime.now(), until=until
            )
    except FullturnError:
        opened.source.close()
        raise
    signals.when_asked(recorder.stop)
    try:
        return RecordRun(recorder, request, settings, opened, signals, mark).go()
    finally:
        signals.forget(recorder.stop)


def _say(line: str) -> None:
    click.echo(line, err=True)


class RecordRun:
    """One recording while it runs, and its end."""

    def __init__(
        self,
        recorder: Recorder,
        request: RecordRequest,
        settings: Settings,
        opened: OpenedSource,
        signals: EndSignals,
        mark: MarkAtStart | None,
    ) -> None:
        self._recorder, self._request, self._settings, self._opened = recorder, request, settings, opened
        self._mark, self._restarted = mark, False
        self._turn_store: TurnStore | None = None
        if request.use_store:
            self._turn_store = TurnStore(settings.store.value, recorder, PROGRAM_VERSION)
        self._signals = signals

    def go(self) -> RecordOutcome:
        """Run to the end, analyse, store, and return what to print."""
        by_stops = self._recorder.session.setup.angle_source == AngleFrom.STOPS
        try:
            with Keys(enabled=by_stops) as keys:
                for message in self._recorder.messages(lambda: self._press(keys)):
                    self._take(message)
        finally:
            recorded = self._recorder.close()
        try:
            return self._conclude(recorded)
        finally:
            self._leave_store()

    def _take(self, message: WorkerMessage) -> None:
        match message:
            case BoardStarted(board):
                _say(f"{board} streams; recording to {self._recorder.path}")
                self._remember()
                self._touch_mark()
                if self._turn_store is not None:
                    self._turn_store.begin(_say)
            case StopRead(reading_mm, words):
                reading = "" if reading_mm is None else f"{reading_mm:.4f} mm "
                _say(f"stop: {reading}{words}")
            case FinishedTurnSamples():
                self._turn_ended(message)
            case EventTaken(event=NotDecoded(why)):
                _say(f"not decoded: {why}; the recording goes on, end it with Ctrl-C")
            case Warned(words):
                _say(words)
            case EventTaken() | WorkerEnded():
                pass  # the recording has its events, and what it ended with comes from its closing
            case _:
                assert_never(message)

    def _turn_ended(self, ended: FinishedTurnSamples) -> None:
        number, turns = ended.number + 1, self._request.turns or 0
        # What a pipe holds at once may go round further than was asked for.
        _say(f"turn {number} of {turns} is round" if number <= turns else f"turn {number} is round")
        if self._turn_store is not None:
            self._turn_store.add(ended)
            self._turn_store.keep(_say)

    def _press(self, keys: Keys) -> None:
        """SPACE or Enter at the terminal takes the place the part stands at."""
        for key in keys.pressed():
            if key in " \r\n":
                self._recorder.record_event(StopPressed())

    def _touch_mark(self) -> None:
        """Have the mark recorded that stood under the tip when the recording was asked for."""
        mark, session = self._mark, self._recorder.session
        if mark is None:
            return
        if session.hello is not None and session.hello.boot_id != mark.boot_id:
            self._restarted = True
            self._recorder.stop()
            return
        self._recorder.record_event(MarkTouched(session.setup.mark_on, mark.count))

    def _remember(self) -> None:
        try:
            self._opened.remember()
        except BadInput as error:
            # A sweep is worth more than the list of boards.
            _say(f"the board is not remembered ({error}); the recording goes on")

    def _short_words(self, recorded: Recorded) -> str:
        """Say what was asked for and has not come."""
        turns, seconds = self._request.turns, self._request.seconds
        asked = f"{turns} turns" if turns is not None else f"{seconds:g} seconds"
        name = self._opened.source.name
        return f"{name} gave no more after {recorded.turns} turns; {asked} were asked for: the sweep is short"

    def _conclude(self, recorded: Recorded) -> RecordOutcome:
        path = recorded.path
        if recorded.link_bytes == 0:
            # Nothing was measured: an empty file would only be found later and wondered at.
            path.unlink(missing_ok=True)
            if recorded.error is not None:
                raise recorded.error
            if self._signals.asked:
                return ENDED_EMPTY
            raise LinkError(f"{self._opened.source.name}: nothing came; is the board on and turning?")
        if recorded.error is not None:
            raise with_recording_path(recorded.error, path) from recorded.error
        if self._restarted:
            raise BadInput(
                "the board restarted since the part's mark stood under the tip, and its count began again: "
                f"stand the mark under the tip again; what came is kept in {path}"
            )
        try:
            # As ``sweep`` of the file prints it, whether it is read back or known already.
            typed = bool(self._request.override.get("limit"))
            taken = self._recorder.sweep()
            loaded = (
                load_sweep(str(path), {})
                if taken is None
                else load_recorded(path, self._recorder.session, *taken)
            )
            sweep = report_sweep(loaded, self._settings.units.value, limit_typed=typed)
        except BadInput as error:
            if self._signals.asked:
                _say(f"recorded to {path}; {error}")
                return ENDED_EMPTY
            if recorded.short:
                raise LinkError(
                    f"{self._short_words(recorded)}; {error}; the recording is kept in {path}"
                ) from error
            raise BadInput(f"{error}; the recording is kept in {path}") from error
        if self._turn_store is not None:
            closed = bool(sweep.as_json["closed"])
            self._turn_store.finish(recorded, closed, sweep.state, sweep.as_json, sweep.dof)
        if self._signals.asked:
            _say(f"recorded to {path}")
        elif recorded.short:
            _say(self._short_words(recorded))
        text = f"{sweep.text}\nRecorded to {path}\n{self._next(path)}"
        status = LinkError.exit_status if recorded.short else sweep.status
        return RecordOutcome(sweep.as_json, text, status)

    def _loaded(self, path: Path) -> LoadedSweep:
        taken = self._recorder.sweep()
        if taken is None:
            return load_sweep(str(path), {})
        return load_recorded(path, self._recorder.session, *taken)

    def _leave_store(self) -> None:
        """Keep what still waits, and say what the store did not take: the result is printed all the same."""
        if self._turn_store is None:
            return
        self._turn_store.close()
        words = self._turn_store.not_stored(store_option(self._settings))
        if words and self._recorder.path.exists():
            _say(words)

    def _next(self, path: Path) -> str:
        """Name what to type next: the screen, over the same source and over what was recorded."""
        replay = f"`fullturn watch {shlex.quote(str(path))}` replays this"
        if self._request.source.name == "-":
            return f"Next: {replay}"
        return (
            f"Next: `fullturn watch {shlex.quote(self._request.source.name)}` shows the same live, {replay}"
        )
