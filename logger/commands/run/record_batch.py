"""Parts of one kind recorded one after another by serial: named, begun, told, the next one."""

import sys
import time
from dataclasses import dataclass, replace

import click

from analysis.errors import BadInput, FullturnError, LinkError
from logger import batch
from logger.acquisition import KeptOpen, OpenedSource, check_request, open_source
from logger.batch import Batch
from logger.commands.end_signals import EndSignals
from logger.commands.exit_status import status_of, worst_status
from logger.commands.keypress import Keys
from logger.commands.run.chosen_store import chosen_store
from logger.commands.run.part_waiting import PartWaiting
from logger.commands.run.record_once import (
    MarkAtStart,
    RecordOutcome,
    RecordRequest,
    check_record,
    record_opened,
)
from logger.commands.typed_line import Begin, Line, TypedLine
from logger.settings import Settings

PRACTICE_APART_S = 120.0
"""From one part on the practice bench to the next, in the story it tells."""
LOOK_S = 0.03
"""A board is looked at so often for its button, between keys."""
KEY_S = 0.5
"""Without a board only a key or a signal can come: so often it is looked for a signal."""


@dataclass(frozen=True)
class BatchRequest:
    """What the command line asks of a batch."""

    serials: str
    job: str
    plan: "batch.BatchPlan"
    """What is asked between the parts."""


def record_batch(
    request: RecordRequest, asked: BatchRequest, settings: Settings, signals: EndSignals
) -> tuple[Batch, int]:
    """Record every part that is not measured yet; return where the batch stands, and the exit status."""
    planned = batch.expand_serials(asked.serials)
    request = replace(request, override={**request.override, "job": asked.job})
    check_record(request, settings)
    check_request(request.source)
    where = settings.store.value if request.use_store else None
    before = batch.sweeps_of_job(asked.job, settings.data_folder, where)
    for line in before.without:
        _say(f"no sweep in {line}")
    limits = batch.check_limits(where, asked.plan.check_part)
    earlier = batch.skipped_of_job(asked.job, where)
    standing = Batch(
        asked.job,
        planned,
        before.sweeps,
        unit=settings.units.value,
        plan=asked.plan,
        limits=limits,
        left_before={one.serial: one.reason for one in earlier},
    ).begun()
    if standing.parts:
        _say(batch.counts(standing))
    return BatchRun(request, settings, signals, standing).go()


class BatchRun:
    """A batch while it runs."""

    def __init__(
        self, request: RecordRequest, settings: Settings, signals: EndSignals, standing: Batch
    ) -> None:
        self._request, self._settings, self._signals = request, settings, signals
        self._batch = standing
        self._port: OpenedSource | None = None
        """What is kept open from part to part; None for the practice bench, which begins anew for each."""
        self._attended = sys.stdin.isatty()
        """Somebody can press SPACE. Without a terminal the practice bench goes from part to part."""

    def go(self) -> tuple[Batch, int]:
        """Run to the end of the list, or until a person ends it. Raises FullturnError where it cannot."""
        if self._batch.over:
            return self._batch, status_of(self._batch.state)
        practice = self._request.source.practice
        if not self._attended and not practice:
            raise BadInput(
                "--serials at a port needs a terminal, and there is none: somebody presses SPACE at each part"
            )
        statuses: list[int] = []
        try:
            if not practice:
                opened = open_source(self._request.source, self._settings.config_folder)
                self._port = replace(opened, source=KeptOpen(opened.source))
            with Keys(enabled=self._attended) as keys:
                self._from_part_to_part(keys)
        except LinkError as error:
            _say(f"the batch ends here: {error}")
            statuses.append(error.exit_status)
        finally:
            if self._port is not None and isinstance(self._port.source, KeptOpen):
                self._port.source.let_go()
        return self._batch, worst_status([*statuses, status_of(self._batch.state)])

    def _from_part_to_part(self, keys: Keys) -> None:
        line = TypedLine(_echo, time.monotonic)
        while not (self._batch.over or self._signals.asked):
            if self._attended:
                _say(f"{self._batch.wants}.")
            begun, mark = self._await_part(keys, line)
            if not begun:
                return
            self._measure(mark)
            if not self._attended and self._batch.check_is_out:
                return  # nobody is there to look at the stand
            unused = keys.pressed()
            if unused.strip():
                _say(f"typed while the part was measured, and not used: {unused!r}")

    # --- a part is named and begun --------------------------------------------------------------------

    def _await_part(self, keys: Keys, line: TypedLine) -> tuple[bool, MarkAtStart | None]:
        """Wait until the named part is to be measured; return whether it is, and where its mark stands."""
        if not self._attended:
            return True, None
        waiting = (
            None if self._port is None else PartWaiting(self._port, self._port.setup(self._request.override))
        )
        try:
            while not (self._signals.asked or self._batch.over):
                if self._wishes_to_begin(keys, line, waiting) and self._is_named():
                    why_not = waiting.why_not() if waiting is not None else ""
                    if not why_not:
                        return True, waiting.mark() if waiting is not None else None
                    _say(f"{why_not}: stand the mark of {self._batch.serial} under the tip, then SPACE")
                keys.wait(LOOK_S if waiting is not None else KEY_S)
            return False, None
        finally:
            if waiting is not None:
                waiting.end()

    def _wishes_to_begin(self, keys: Keys, line: TypedLine, waiting: PartWaiting | None) -> bool:
        wished = waiting is not None and waiting.button_pressed()
        for wish in line.take(keys.pressed()):
            match wish:
                case Line(text):
                    self._take_line(text)
                    wished = False  # what was pressed before the line was of another part
                case Begin():
                    wished = True
        return wished

    def _take_line(self, text: str) -> None:
        try:
            self._batch, words = self._batch.typed(text)
        except BadInput as error:
            words = str(error)
        else:
            self._keep_skipped(text)
        _say(words)

    def _keep_skipped(self, line: str) -> None:
        """Keep the reason of what this line has skipped in the store."""
        if not isinstance(batch.parse_line(line), batch.Skip):
            return
        if not self._request.use_store:
            _say("the reason is not kept: --no-store")
            return
        try:
            batch.keep_skipped(
                chosen_store(self._settings),
                self._batch.job,
                self._batch.skipped[-1],
                self._request.override.get("operator", ""),
            )
        except FullturnError as error:
            _say(f"the reason is not kept: {error}")

    def _is_named(self) -> bool:
        if self._batch.asked:
            _say(f"{self._batch.asked} is asked about: answer first, or name another part")
        elif not self._batch.serial:
            _say("no part is named: type or scan its serial")
        return bool(self._batch.serial and not self._batch.asked)

    # --- it is measured ----------------------------------------------------------------------------------

    def _measure(self, mark: MarkAtStart | None) -> None:
        """Sweep the named part and tell it; a sweep that came to nothing leaves its part named."""
        serial, setup = self._batch.serial, self._batch.setup_of_named
        source = replace(
            self._request.source,
            serial=setup["serial"],
            kth=len(self._batch.sweeps),
            every_s=PRACTICE_APART_S,
        )
        request = replace(self._request, source=source, override={**self._request.override, **setup})
        opened = self._port or open_source(source, self._settings.config_folder)
        if self._batch.wanted is not batch.NextSweep.CHECK:
            self._hold_job(opened)
        try:
            outcome = record_opened(opened, request, self._settings, self._signals, mark)
        except BadInput as error:
            _say(f"{serial}: {error}")
            self._leave_where_alone(str(error))
            return
        if outcome.as_json is not None:
            self._tell(outcome)

    def _hold_job(self, opened: OpenedSource) -> None:
        try:
            batch.with_job_held(self._batch, opened.setup(self._request.override).get("part", ""))
        except BadInput:
            opened.source.close()
            raise

    def _tell(self, outcome: RecordOutcome) -> None:
        assert outcome.as_json is not None
        one = batch.measured_part(outcome.as_json)
        self._batch = self._batch.with_sweep(one)
        _say(batch.in_one_line(one, self._batch))
        if not one.counts:
            self._leave_where_alone(one.words)

    def _leave_where_alone(self, why: str) -> None:
        """Skip a part that came to nothing where nobody can put it on again."""
        if not self._attended and not self._signals.asked:
            self._take_line(f"skip {why}")


def _say(line: str) -> None:
    click.echo(line, err=True)


def _echo(text: str) -> None:
    click.echo(text, err=True, nl=False)
