"""A recording, or one every so often, printed as ``sweep`` of its file would be."""

from collections.abc import Sequence
from pathlib import Path

import click

from analysis.errors import BadInput
from logger.acquisition import check_request
from logger.commands.end_signals import EndSignals
from logger.commands.exit_status import print_json, worst_status
from logger.commands.options import OutputOptions, SetupOptions, SourceOptions
from logger.commands.run.record_once import RecordOutcome, RecordRequest, record_once
from logger.commands.run.record_series import parse_time, record_series


def run(
    port: str,
    turns: int | None,
    seconds: float | None,
    out: str | None,
    no_store: bool,
    every: str | None,
    lasting: str | None,
    source_options: SourceOptions,
    setup_options: SetupOptions,
    output: OutputOptions,
) -> int:
    """Record, and print what was recorded."""
    settings = output.settings()
    override = setup_options.text()
    source = source_options.request(port)
    check_request(source)
    request = RecordRequest(source, turns, seconds, Path(out) if out else None, not no_store, override)
    if (every is None) != (lasting is None):
        raise BadInput("--every and --for go together: how often, and for how long")
    with EndSignals() as signals:
        if every is None or lasting is None:
            outcomes = [record_once(request, settings, signals)]
        else:
            outcomes = record_series(request, settings, parse_time(every), parse_time(lasting), signals)
        _print(outcomes, output.as_json)
    return 0 if signals.asked else worst_status([outcome.status for outcome in outcomes])


def _print(outcomes: Sequence[RecordOutcome], as_json: bool) -> None:
    objects = [outcome.as_json for outcome in outcomes if outcome.as_json is not None]
    if as_json and objects:
        print_json(objects[0] if len(outcomes) == 1 else {"files": objects})
    for outcome in outcomes if not as_json else []:
        if outcome.as_json is not None:
            click.echo(outcome.text)
