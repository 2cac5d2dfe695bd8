"""``fullturn sweep``: recordings, CSV files, practice:NAME or typed readings, analysed."""

import sys
from collections.abc import Callable, Sequence
from typing import Any

import click

from analysis.errors import BadInput
from logger.commands.options import (
    OutputOptions,
    SetupOptions,
    print_json,
    result_options,
    setup_options,
    status_of,
    worst_status,
)
from logger.commands.sweep_extras import (
    add_form,
    add_together,
    apart_of,
    check_extras,
    extra_options,
    sag_of,
    with_second_tip,
)

BAR_FROM_BYTES = 4_000_000


@click.command()
@click.argument("files", nargs=-1, metavar="[FILE]...")
@click.option("--typed", metavar='"0:0 90:+3 ... thou"', help="Readings at clock places instead of a file.")
@click.option(
    "--orders", type=int, metavar="H", help="Highest order to fit (default 15, or what the gauge carries)."
)
@click.option(
    "--leave-out", multiple=True, metavar="FROM:TO=REASON", help="Leave a window of degrees out, and why."
)
@click.option("--stages", is_flag=True, help="Add one line per step of the data path.")
@click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1).")
@click.option("--fault", metavar="NAME", help="Fault of a practice:NAME.")
@extra_options
@setup_options
@result_options
def command(
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
    asked: SetupOptions,
    output: OutputOptions,
) -> int:
    """Analyse one sweep or several: turns, orders, runout, checks, uncertainty, decision.

    Ends 0 (within a given limit, or none given), 1 over, 3 not decided, 2 bad input.
    """
    if not files and typed is None:
        raise BadInput("nothing to analyse: name a recording, a CSV file or practice:NAME, or give --typed")
    if files and typed is not None:
        raise BadInput("--typed and files at once: analyse one after the other")
    check_extras(files, with_form, filter_upr, sag_file, opposed, tips_apart)
    if planes and len(files) != 2:
        raise BadInput(f"--plane with {len(files)} file(s): give two of one outside or bore, at two planes")
    unit = output.unit
    override = asked.text()
    from logger.inputs import LoadedSweep, load_sweep  # noqa: PLC0415

    loaded: list[LoadedSweep] = []
    if typed is not None:
        from logger.inputs import (  # noqa: PLC0415
            SweepOrigin,
            typed_capture,
        )

        loaded.append(
            LoadedSweep(typed_capture(typed, override), SweepOrigin("typed", None, None), ("typed readings",))
        )
    for name in files:
        with _Bar() as bar:
            loaded.append(load_sweep(name, override, seed=seed, fault=fault, progress=bar))
    sag = None if sag_file is None else sag_of(sag_file, override, seed)
    objects, texts, statuses, results = [], [], [], []
    for one in loaded:
        second = None
        if opposed is not None:
            channel_too = {**override, "channel": str(opposed)}
            second = load_sweep(one.origin.file, channel_too, seed=seed, fault=fault), apart_of(tips_apart)
        told, text, status, result = analyse_with(one, orders, leave_out, unit, stages, sag, second)
        results.append(result)
        objects.append(told)
        texts.append(text if len(loaded) == 1 else f"{one.origin.file}\n{text}")
        statuses.append(status)
    if with_form:
        add_form(results, objects, texts, None if filter_upr is None else float(filter_upr), unit)
    keys: dict[str, Any] = {}
    if len(objects) > 1:
        keys, paragraphs = add_together(loaded, results, planes, unit)
        texts = [*paragraphs, *texts]
    if output.as_json:
        print_json(objects[0] if len(objects) == 1 else {"files": objects, **keys})
    else:
        click.echo("\n\n".join(texts))
    return worst_status(statuses)


def analyse_loaded(
    loaded: Any, orders: int | None, leave_out: Sequence[str], unit: str, stages: bool
) -> tuple[dict[str, Any], str, int]:
    """Return (JSON object, text, exit status) of one loaded sweep."""
    told, text, status, _ = analyse_with(loaded, orders, leave_out, unit, stages)
    return told, text, status


def analyse_with(
    loaded: Any,
    orders: int | None,
    leave_out: Sequence[str],
    unit: str,
    stages: bool,
    sag: Any = None,
    second: tuple[Any, float] | None = None,
) -> tuple[dict[str, Any], str, int, Any]:
    """Return (JSON object, text, exit status, result) of one loaded sweep.

    ``second`` is the same recording loaded by the channel of an opposed tip, and how far apart they stand.
    """
    from dataclasses import replace  # noqa: PLC0415

    from analysis.capture import parse_window  # noqa: PLC0415
    from analysis.sweep import Options, analyse  # noqa: PLC0415
    from logger.reports import sweep as report  # noqa: PLC0415
    from logger.reports.phrases import layout  # noqa: PLC0415

    windows = tuple(parse_window(text) for text in leave_out)
    capture, other = loaded.capture, tuple[Any, ...]()
    if sag is not None:
        from analysis.separation import without_sag  # noqa: PLC0415

        capture, line = without_sag(capture, sag)
        other = (line,)
    options = Options(orders=orders, leave_out=windows, other=other)
    added, more = {}, ""
    if second is not None:
        recording, apart_deg = second
        result, added["opposed"], more = with_second_tip(loaded, recording, options, apart_deg, unit)
    else:
        result = analyse(capture, options)
    result = replace(result, stages=(*loaded.stages, *result.stages))
    told = {**report.as_json(result, loaded.origin, loaded.capture.link), **added}
    state = result.decision.state if result.decision else None
    text = layout(report.as_text(result, unit, stages=stages)) + (f"\n\n{more}" if more else "")
    return told, text, status_of(state), result


class _Bar:
    """A progress bar on standard error, shown only for large files at a terminal."""

    def __init__(self) -> None:
        self._bar: Any = None
        self._done = 0

    def __enter__(self) -> Callable[[int, int], None]:
        return self._tell

    def __exit__(self, *_: object) -> None:
        if self._bar is not None:
            self._bar.render_finish()

    def _tell(self, done: int, whole: int) -> None:
        if whole < BAR_FROM_BYTES or not sys.stderr.isatty():
            return
        if self._bar is None:
            self._bar = click.progressbar(length=whole, label="reading", file=sys.stderr)
        self._bar.update(done - self._done)
        self._done = done
