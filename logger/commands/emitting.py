"""How a result is printed: as one JSON object where it was asked for, else as text, with what it is of."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

import click

from analysis.setup import Setup
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.inputs import AnalysedSweep, SweepOrigin
from logger.reports import provenance
from logger.reports.phrases import Report, layout


def emit_plain(
    output: OutputOptions, as_json: Callable[[], Mapping[str, Any]], as_text: Callable[[], Report]
) -> None:
    """Print a result that is of no measurement."""
    if output.as_json:
        print_json(as_json())
    else:
        click.echo(layout(as_text()))


def emit(
    output: OutputOptions,
    as_json: Callable[[], Mapping[str, Any]],
    as_text: Callable[[], Report],
    sweeps: Sequence[AnalysedSweep] = (),
) -> None:
    """Print a result of these sweeps; only the form that was asked for is made."""
    emit_of(output, as_json, as_text, [one.origin for one in sweeps], [one.result.setup for one in sweeps])


def emit_of(
    output: OutputOptions,
    as_json: Callable[[], Mapping[str, Any]],
    as_text: Callable[[], Report],
    origins: Sequence[SweepOrigin],
    setups: Sequence[Setup] = (),
) -> None:
    """Print a result of what came from these origins; ``setups`` are those whose angles it names."""
    emit_plain(
        output,
        lambda: {**as_json(), "provenance": provenance.as_json(origins)},
        lambda: with_provenance(as_text(), origins, setups),
    )


def with_provenance(report: Report, origins: Sequence[SweepOrigin], setups: Sequence[Setup]) -> Report:
    """Return a report that ends with what it is of."""
    return replace(report, sections=(*report.sections, provenance.section(origins, setups)))
