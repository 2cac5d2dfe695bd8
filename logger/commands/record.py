"""``fullturn record``: from a port or the virtual bench to a stored and decided result, without a screen."""

import re
import shlex
import threading
import time
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from analysis.errors import BadInput, FullturnError, LinkError, StoreError
from analysis.setup import AngleFrom
from logger.commands.exit_status import print_json, with_recording_path, worst_status
from logger.commands.keypress import Keys
from logger.commands.options import OUTPUT, SETUP, OutputOptions, SetupOptions, with_options
from logger.settings import Settings

if TYPE_CHECKING:
    from logger.acquisition import OpenedSource, Recorded, Recorder, SourceRequest, TurnStore

_SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0}


@dataclass(frozen=True)
class RecordRequest:
    """What the command line asks of each recording."""

    source: "SourceRequest"
    turns: int | None
    seconds: float | None
    out: Path | None
    use_store: bool
    override: dict[str, str]


@click.command()
@click.argument("port")
@click.option("--turns", type=click.IntRange(1, 100_000), help="End after so many full turns.")
@click.option("--seconds", type=click.FloatRange(0.1), help="End after so many seconds.")
@click.option("--rate", type=click.IntRange(1, 65_535), help="Readings a second to ask the board for.")
@click.option("--baud", type=int, help="Speed of the port (default 500000, or the rig's).")
@click.option(
    "--rig", "rig_file", metavar="FILE", help="Rig file of a gauge that prints lines; PORT may be -."
)
@click.option("--second", metavar="PORT", help="Port of the encoder, where the rig has a second one.")
@click.option("--out", metavar="FILE", help="Where to record; must not exist (default: the data folder).")
@click.option("--no-store", is_flag=True, help="Keep the recording alone, store nothing.")
@click.option("--every", metavar="TIME", help='Begin a recording every "10 min"; with --for.')
@click.option("--for", "lasting", metavar="TIME", help='How long to go on with --every: "2 h".')
@click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1).")
@click.option("--fault", metavar="NAME", help="Fault of a practice:NAME.")
@with_options(SETUP)
@with_options(OUTPUT)
def command(
    port: str,
    turns: int | None,
    seconds: float | None,
    rate: int | None,
    baud: int | None,
    rig_file: str | None,
    second: str | None,
    out: str | None,
    no_store: bool,
    every: str | None,
    lasting: str | None,
    seed: int,
    fault: str | None,
    setup_options: SetupOptions,
    output: OutputOptions,
) -> int:
    """Record from PORT (or practice:NAME), store every turn as it ends, then decide.

    Without --turns or --seconds it records until Ctrl-C. Caution: call out before turning; turn by hand or at
    creep speed with the drive locked out; no gloves or loose sleeves near it.
    """
    in_force = output.settings()
    override = setup_options.text()
    from logger.acquisition import SourceRequest, check_request  # noqa: PLC0415
    from logger.decoding import read_rig  # noqa: PLC0415

    rig = read_rig(rig_file) if rig_file else None
    source = SourceRequest(port, baud, rate or 0, rig, second, seed, fault)
    check_request(source)
    wanted = RecordRequest(source, turns, seconds, Path(out) if out else None, not no_store, override)
    if (every is None) != (lasting is None):
        raise BadInput("--every and --for go together: how often, and for how long")
    if every is None or lasting is None:
        done = [_record_one(wanted, in_force, output.as_json)]
    else:
        done = _record_series(wanted, in_force, output.as_json, parse_time(every), parse_time(lasting))
    printed = [one for one in done if one.told is not None]
    if output.as_json and printed:
        print_json(printed[0].told if len(done) == 1 else {"files": [one.told for one in printed]})
    for one in printed if not output.as_json else []:
        click.echo(one.text)
    return 0 if any(one.stopped for one in done) else worst_status([one.status for one in done])


def parse_time(text: str) -> float:
    """Read a duration such as ``10 min``, ``90 s`` or ``2 h`` into seconds."""
    match = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*(s|min|h)\s*", text)
    seconds = float(match.group(1).replace(",", ".")) * _SECONDS[match.group(2)] if match else 0.0
    if seconds <= 0:
        raise BadInput(f"{text!r} is no time: write a number with s, min or h, as 10 min")
    return seconds


@dataclass(frozen=True)
class RecordOutcome:
    """One recording, analysed."""

    told: dict[str, Any] | None
    text: str
    status: int
    stopped: bool


def _record_series(
    wanted: RecordRequest, settings: Settings, as_json: bool, every: float, lasting: float
) -> list[RecordOutcome]:
    if wanted.turns is None and wanted.seconds is None:
        raise BadInput("--every needs an end of each recording: add --turns or --seconds")
    if wanted.out is not None:
        raise BadInput(
            "--out names one file, --every makes several: leave --out away, they go to the data folder"
        )
    began, done, number = time.monotonic(), [], 0
    pause = threading.Event()
    while number * every <= lasting:
        done.append(_record_one(wanted, settings, as_json))
        if done[-1].stopped:
            break
        number += 1
        try:
            if number * every <= lasting and not wanted.source.practice:
                pause.wait(max(0.0, began + number * every - time.monotonic()))
        except KeyboardInterrupt:
            break
    return done


def _record_one(wanted: RecordRequest, settings: Settings, as_json: bool) -> RecordOutcome:
    from analysis.setup import parse_setup  # noqa: PLC0415
    from analysis.sweep import check_limit  # noqa: PLC0415
    from logger.acquisition import (  # noqa: PLC0415
        Until,
        check_out,
        default_path,
        make_folder,
        open_source,
    )
    from logger.commands.run.version import program_version  # noqa: PLC0415

    if wanted.out is not None:
        check_out(wanted.out)
    parse_setup(wanted.override)
    opened = open_source(wanted.source, settings.config_folder)
    try:
        text = opened.setup(wanted.override)
        checked = parse_setup(text)
        check_limit(checked.limit, checked)
        if wanted.out is None:
            make_folder(settings.data_folder)
        out = wanted.out or default_path(settings.data_folder, checked.part, datetime.now())
        recorder = opened.record(out, text, program_version(), until=Until(wanted.turns, wanted.seconds))
    except FullturnError:
        opened.source.close()
        raise
    return RecordRun(recorder, wanted, settings, as_json, opened).go()


class RecordRun:
    """One recording while it runs, and its end."""

    def __init__(
        self,
        recorder: "Recorder",
        wanted: RecordRequest,
        settings: Settings,
        as_json: bool,
        opened: "OpenedSource",
    ) -> None:
        self._recorder, self._wanted, self._settings = recorder, wanted, settings
        self._as_json, self._opened = as_json, opened
        self._keeper: TurnStore | None = None
        self._problem: StoreError | None = None
        self._stopped = False

    def go(self) -> RecordOutcome:
        """Run to the end, read the file back, analyse, store, and return what to print."""
        by_stops = self._recorder.session.setup.angle_source == AngleFrom.STOPS
        try:
            with Keys(enabled=by_stops) as keys:
                for message in self._recorder.messages(lambda: self._press(keys)):
                    self._take(message)
        except KeyboardInterrupt:
            self._stopped = True
        finally:
            recorded = self._recorder.close()
        try:
            return self._conclude(recorded)
        finally:
            if self._keeper is not None:
                self._keeper.close()

    def _take(self, word: Any) -> None:
        from logger.acquisition import BoardStarted, StopRead  # noqa: PLC0415
        from logger.session import FinishedTurnSamples  # noqa: PLC0415

        if isinstance(word, BoardStarted):
            self._say(f"{word.board} streams; recording to {self._recorder.path}")
            self._remember()
            self._begin_keeping()
        elif isinstance(word, StopRead):
            reading = "" if word.reading_mm is None else f"{word.reading_mm:.4f} mm "
            self._say(f"stop: {reading}{word.words}")
        elif isinstance(word, FinishedTurnSamples):
            number, asked = word.number + 1, self._wanted.turns or 0
            # What a pipe holds at once may go round further than was asked for.
            self._say(f"turn {number} of {asked} is round" if number <= asked else f"turn {number} is round")
            if self._keeper is not None and self._problem is None:
                try:
                    self._keeper.add(word)
                except StoreError as error:
                    self._store_failed(error)

    def _press(self, keys: Keys) -> None:
        """SPACE or Enter at the terminal takes the place the part stands at."""
        from analysis.capture.events import StopPressed  # noqa: PLC0415

        for key in keys.pressed():
            if key in " \r\n":
                self._recorder.record_event(StopPressed())

    def _begin_keeping(self) -> None:
        if not self._wanted.use_store or self._keeper is not None:
            return
        from logger.acquisition import TurnStore  # noqa: PLC0415
        from logger.commands.run.version import program_version  # noqa: PLC0415

        try:
            self._keeper = TurnStore(
                self._settings.store.value,
                self._recorder.identity,
                str(self._recorder.path.resolve()),
                self._recorder.session.setup,
                program_version(),
            )
        except StoreError as error:
            self._store_failed(error)

    def _store_failed(self, error: StoreError) -> None:
        """The recording goes on; the store's refusal is told now and again at the end."""
        self._problem = error
        self._say(f"the store refuses ({error}); the recording goes on")

    def _remember(self) -> None:
        try:
            self._opened.remember()
        except BadInput as error:
            # A sweep is worth more than the list of boards.
            self._say(f"the board is not remembered ({error}); the recording goes on")

    def _say(self, line: str) -> None:
        click.echo(line, err=True)

    def _conclude(self, recorded: "Recorded") -> RecordOutcome:
        path = recorded.path
        if recorded.link_bytes == 0:
            # Nothing was measured: an empty file would only be found later and wondered at.
            path.unlink(missing_ok=True)
            if recorded.error is not None:
                raise recorded.error
            if self._stopped:
                return RecordOutcome(None, "", 0, True)
            raise LinkError(f"{self._opened.source.name}: nothing came; is the board on and turning?")
        if recorded.error is not None:
            raise with_recording_path(recorded.error, path) from recorded.error
        try:
            told, text, status = self._analyse(path)
        except BadInput as error:
            if self._stopped:
                self._say(f"recorded to {path}; {error}")
                return RecordOutcome(None, "", 0, True)
            raise BadInput(f"{error}; the recording is kept in {path}") from error
        if self._keeper is not None and self._problem is None:
            decision = told["decision"]
            self._keeper.finish(recorded, bool(told["closed"]), decision["state"] if decision else None, told)
        if self._problem is not None:
            raise StoreError(f"{self._problem}; the recording is kept in {path}") from self._problem
        if self._stopped:
            self._say(f"recorded to {path}")
        return RecordOutcome(told, f"{text}\nRecorded to {path}\n{self._next(path)}", status, self._stopped)

    def _next(self, path: Path) -> str:
        """Name what to type next: the screen, over the same source and over what was recorded."""
        replay = f"`fullturn watch {shlex.quote(str(path))}` replays this"
        if self._wanted.source.name == "-":
            return f"Next: {replay}"
        return f"Next: `fullturn watch {shlex.quote(self._wanted.source.name)}` shows the same live, {replay}"

    def _analyse(self, path: Path) -> tuple[dict[str, Any], str, int]:
        """Read the file back: what is printed is what ``sweep`` of the file prints."""
        from logger.commands.run.reported_sweep import report_sweep  # noqa: PLC0415
        from logger.inputs import load_sweep  # noqa: PLC0415

        reported = report_sweep(load_sweep(str(path), {}), self._settings.units.value)
        return reported.as_json, reported.text, reported.status
