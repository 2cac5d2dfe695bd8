"""A recording, or one every so often, printed as ``sweep`` of its file would be."""

from collections.abc import Sequence
from pathlib import Path

import click

from analysis.errors import BadInput
from logger import batch
from logger.acquisition import check_request
from logger.commands.declaring import command_that_goes_on
from logger.commands.end_signals import EndSignals
from logger.commands.exit_status import print_json, worst_status
from logger.commands.options import OutputOptions, SetupOptions, SourceOptions, with_job
from logger.commands.run.record_batch import BatchRequest, record_batch
from logger.commands.run.record_once import RecordOutcome, RecordRequest, record_once
from logger.commands.run.record_series import parse_time, record_series
from logger.settings import Settings


def run(
    port: str,
    turns: int | None,
    seconds: float | None,
    out: str | None,
    no_store: bool,
    every: str | None,
    lasting: str | None,
    serials: str | None,
    job: str | None,
    check_every: int | None,
    check_part: str | None,
    twice_every: int | None,
    source_options: SourceOptions,
    setup_options: SetupOptions,
    output: OutputOptions,
) -> int:
    """Record, and print what was recorded."""
    settings = output.settings()
    override = setup_options.text() if job is None else with_job(setup_options.text(), job)
    source = source_options.request(port)
    check_request(source)
    request = RecordRequest(source, turns, seconds, Path(out) if out else None, not no_store, override)
    if (every is None) != (lasting is None):
        raise BadInput("--every and --for go together: how often, and for how long")
    plan = batch.batch_plan(check_every, check_part, twice_every)
    if serials is not None:
        return _run_batch(request, serials, plan, every, settings, output.as_json)
    if plan != batch.BatchPlan():
        raise BadInput("--check-every and --twice-every are of a batch: add --serials, or leave them out")
    with EndSignals() as signals:
        if every is None or lasting is None:
            outcomes = [record_once(request, settings, signals)]
        else:
            outcomes = record_series(request, settings, parse_time(every), parse_time(lasting), signals)
        _print(outcomes, output.as_json)
    return 0 if signals.asked else worst_status([outcome.status for outcome in outcomes])


def _run_batch(
    request: RecordRequest,
    serials: str,
    plan: "batch.BatchPlan",
    every: str | None,
    settings: Settings,
    as_json: bool,
) -> int:
    """Record many parts by serial, and print their table."""
    job = request.override.get("job")
    if not job:
        raise BadInput("--serials needs the job that the parts are of: add --job NUMBER")
    if request.turns is None and request.seconds is None:
        raise BadInput("--serials needs an end of each sweep: add --turns or --seconds")
    if request.out is not None or every is not None:
        raise BadInput("--serials makes a recording a part, in the data folder: leave --out and --every away")
    if request.override.get("serial"):
        raise BadInput("--serials names the parts, and the set-up one serial: take that one out")
    with EndSignals() as signals:
        standing, status = record_batch(request, BatchRequest(serials, job, plan), settings, signals)
        if as_json:
            print_json(batch.as_json(standing))
        else:
            click.echo(batch.as_text(standing, command_that_goes_on()))
    return 0 if signals.asked else status


def _print(outcomes: Sequence[RecordOutcome], as_json: bool) -> None:
    objects = [outcome.as_json for outcome in outcomes if outcome.as_json is not None]
    if as_json and objects:
        print_json(objects[0] if len(outcomes) == 1 else {"files": objects})
    for outcome in outcomes if not as_json else []:
        if outcome.as_json is not None:
            click.echo(outcome.text)
