"""``fullturn sweep``: recordings, CSV files, practice:NAME or typed readings, analysed."""

import sys
from collections.abc import Callable, Sequence
from typing import Any

import click

from analysis.errors import BadInput
from logger.commands.common import (
    print_json,
    result_options,
    setup_from,
    setup_options,
    status_of,
    worst,
)
from logger.settings import load_settings

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
@click.option(
    "--form", "with_form", is_flag=True, help="Add circles, flatness and total runout over all files."
)
@click.option("--filter", "filter_upr", type=click.Choice(["15", "50", "150", "500"]),
              help="Cut-off of the Gaussian filter before --form, UPR.")  # fmt: skip
@click.option("--sag", "sag_file", metavar="FILE", help="Sweep of the sag of an indicator carried round.")
@click.option("--stages", is_flag=True, help="Add one line per step of the data path.")
@click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1).")
@click.option("--fault", metavar="NAME", help="Fault of a practice:NAME.")
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
    stages: bool,
    seed: int,
    fault: str | None,
    setup_file: str | None,
    settings: tuple[str, ...],
    limit: str | None,
    quantity: str | None,
    channel: int | None,
    as_json: bool,
    units: str | None,
    store: str | None,
) -> int:
    """Analyse one sweep or several: turns, orders, runout, checks, uncertainty, decision.

    Ends 0 (within a given limit, or none given), 1 over, 3 not decided, 2 bad input.
    """
    if not files and typed is None:
        raise BadInput("nothing to analyse: name a recording, a CSV file or practice:NAME, or give --typed")
    if files and typed is not None:
        raise BadInput("--typed and files at once: analyse one after the other")
    unit = load_settings(store=store, units=units).units.value
    override = setup_from(setup_file, settings, limit, quantity, channel)
    from logger.inputs import Loaded, load  # noqa: PLC0415

    loaded: list[Loaded] = []
    if typed is not None:
        from logger.results import Origin  # noqa: PLC0415
        from logger.tables import typed_capture  # noqa: PLC0415

        loaded.append(
            Loaded(typed_capture(typed, override), Origin("typed", None, None), ("typed readings",))
        )
    for name in files:
        with _Bar() as bar:
            loaded.append(load(name, override, seed=seed, fault=fault, progress=bar))
    if filter_upr is not None and not with_form:
        raise BadInput("--filter goes with --form: add --form, or leave it out")
    sag = None if sag_file is None else _sag(sag_file, override, seed)
    objects, texts, statuses, results = [], [], [], []
    for one in loaded:
        told, text, status, result = analyse_with(one, orders, leave_out, unit, stages, sag)
        results.append(result)
        objects.append(told)
        texts.append(text if len(loaded) == 1 else f"{one.origin.file}\n{text}")
        statuses.append(status)
    if with_form:
        _add_form(results, objects, texts, None if filter_upr is None else float(filter_upr), unit)
    if as_json:
        print_json(objects[0] if len(objects) == 1 else {"files": objects})
    else:
        click.echo("\n\n".join(texts))
    return worst(statuses)


def _sag(file: str, override: dict[str, str], seed: int) -> Any:
    """Return the orders of the sag's own sweep."""
    from logger.swept import sweep_of  # noqa: PLC0415

    kept = {key: value for key, value in override.items() if not key.startswith("limit")}
    return sweep_of(file, kept, seed=seed).vectors


def _add_form(
    results: list[Any],
    objects: list[dict[str, Any]],
    texts: list[str],
    filter_upr: float | None,
    unit: str,
) -> None:
    """Add form to each object and text; all files are tracks of one set-up."""
    from analysis.form import forms  # noqa: PLC0415
    from logger.results_owners import form_object  # noqa: PLC0415
    from logger.words_owners import form_text  # noqa: PLC0415

    for k, form in enumerate(forms(results, filter_upr)):
        objects[k]["form"] = form_object(form)
        texts[k] += "\n\n" + form_text(form, unit, len(results))


def analyse_loaded(
    loaded: Any, orders: int | None, leave_out: Sequence[str], unit: str, stages: bool
) -> tuple[dict[str, Any], str, int]:
    """Return (JSON object, text, exit status) of one loaded sweep."""
    told, text, status, _ = analyse_with(loaded, orders, leave_out, unit, stages)
    return told, text, status


def analyse_with(
    loaded: Any, orders: int | None, leave_out: Sequence[str], unit: str, stages: bool, sag: Any = None
) -> tuple[dict[str, Any], str, int, Any]:
    """Return (JSON object, text, exit status, result) of one loaded sweep."""
    from dataclasses import replace  # noqa: PLC0415

    from analysis.sweep import Options, analyse  # noqa: PLC0415
    from analysis.windows import parse_window  # noqa: PLC0415
    from logger.results import sweep_object  # noqa: PLC0415
    from logger.words import sweep_text  # noqa: PLC0415

    windows = tuple(parse_window(text) for text in leave_out)
    capture, other = loaded.capture, tuple[Any, ...]()
    if sag is not None:
        from analysis.sag import without_sag  # noqa: PLC0415

        capture, line = without_sag(capture, sag)
        other = (line,)
    result = analyse(capture, Options(orders=orders, leave_out=windows, other=other))
    result = replace(result, stages=(*loaded.stages, *result.stages))
    told = sweep_object(result, loaded.origin, loaded.capture.link)
    state = result.decision.state if result.decision else None
    return told, sweep_text(result, unit, stages=stages), status_of(state), result


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
