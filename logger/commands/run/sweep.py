"""One sweep or several, analysed and printed; several are then held against one another."""

from collections.abc import Sequence
from typing import Any

import click

from analysis.capture import parse_window
from analysis.errors import BadInput
from analysis.numerics import OrderVectors
from analysis.units import format_count, parse_angle
from logger import inputs
from logger.commands.exit_status import print_json, worst_status
from logger.commands.options import OutputOptions, SetupOptions
from logger.commands.run.progress_bar import ProgressBar
from logger.commands.run.reported_sweep import ReportedSweep, report_sweep
from logger.commands.run.several_sweeps import relations, with_form_of_tracks


def run(
    files: tuple[str, ...],
    typed: str | None,
    orders: int | None,
    leave_out: tuple[str, ...],
    with_form: bool,
    filter_upr: str | None,
    sag_file: str | None,
    opposed: int | None,
    tips_apart: str | None,
    planes: tuple[str, ...],
    stages: bool,
    seed: int,
    fault: str | None,
    setup_options: SetupOptions,
    output: OutputOptions,
) -> int:
    """Print what each sweep says, and what several say together."""
    if not files and typed is None:
        raise BadInput("nothing to analyse: name a recording, a CSV file or practice:NAME, or give --typed")
    if files and typed is not None:
        raise BadInput("--typed and files at once: analyse one after the other")
    _check_together(files, with_form, filter_upr, sag_file, opposed, tips_apart)
    if planes and len(files) != 2:
        raise BadInput(
            f"--plane with {format_count(len(files), 'file')}: give two of one outside or bore, at two planes"
        )
    unit = output.unit
    override = setup_options.text()
    loaded: list[inputs.LoadedSweep] = []
    if typed is not None:
        origin = inputs.SweepOrigin("typed", None, None)
        loaded.append(inputs.LoadedSweep(inputs.typed_capture(typed, override), origin, ("typed readings",)))
    for name in files:
        with ProgressBar() as progress:
            loaded.append(inputs.load_sweep(name, override, seed=seed, fault=fault, progress=progress))
    sag = None if sag_file is None else _sag(sag_file, override, seed)
    windows = [parse_window(text) for text in leave_out]
    sweeps: list[ReportedSweep] = []
    for one in loaded:
        second = None
        if opposed is not None:
            other_tip = inputs.load_opposed(
                one.origin.file, override, opposed, one.capture, seed=seed, fault=fault
            )
            second = other_tip, _degrees_apart(tips_apart)
        sweeps.append(
            report_sweep(
                one,
                unit,
                orders=orders,
                leave_out=windows,
                stages=stages,
                sag=sag,
                second=second,
                limit_typed=bool(override.get("limit")),
            )
        )
    if len(loaded) > 1:
        sweeps = [sweep.headed(one.origin.file) for one, sweep in zip(loaded, sweeps, strict=True)]
    if with_form:
        sweeps = with_form_of_tracks(sweeps, None if filter_upr is None else float(filter_upr), unit)
    keys: dict[str, Any] = {}
    paragraphs: list[str] = []
    if len(loaded) > 1:
        keys, paragraphs = relations(loaded, [sweep.result for sweep in sweeps], planes, unit)
    objects = [sweep.as_json for sweep in sweeps]
    if output.as_json:
        print_json(objects[0] if len(objects) == 1 else {"files": objects, **keys})
    else:
        click.echo("\n\n".join([*paragraphs, *(sweep.text for sweep in sweeps)]))
    return worst_status([sweep.status for sweep in sweeps])


def _check_together(
    files: Sequence[str],
    with_form: bool,
    filter_upr: str | None,
    sag_file: str | None,
    opposed: int | None,
    tips_apart: str | None,
) -> None:
    """Refuse options that do not go together, before anything is read."""
    if filter_upr is not None and not with_form:
        raise BadInput("--filter goes with --form: add --form, or leave it out")
    if tips_apart is not None and opposed is None:
        raise BadInput("--tips-apart goes with --opposed CHANNEL: name the channel of the second tip")
    if opposed is not None and not files:
        raise BadInput("--opposed needs a recording with two channels: name it")
    if opposed is not None and sag_file is not None:
        raise BadInput("--opposed and --sag at once: a carried indicator is one tip; leave one of them out")


def _sag(file: str, override: dict[str, str], seed: int) -> OrderVectors:
    """Return the orders of the sag's own sweep, which no limit of the part concerns."""
    kept = {key: value for key, value in override.items() if not key.startswith("limit")}
    return inputs.analysed_sweep(file, kept, seed=seed).vectors


def _degrees_apart(text: str | None) -> float:
    return 180.0 if text is None else parse_angle(text, "--tips-apart")
