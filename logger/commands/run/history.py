"""What is in the store: by turn, by recording, by group, or in time."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from analysis import store
from analysis.errors import BadInput
from logger import reports, studies
from logger.commands.emitting import emit_plain
from logger.commands.history_options import FilterOptions, JudgedOptions
from logger.commands.options import OutputOptions
from logger.commands.run import history_files, history_judged
from logger.commands.run.chosen_store import is_yet_to_be_made
from logger.reports import history_views
from logger.reports.phrases import Report, printable

SHOWN = 50
"""So many turns are printed where nothing says how many."""

View = tuple[Callable[[], Mapping[str, Any]], Callable[[], Report]]
"""Its object and its text; the text only where there is something."""


def run(
    part: str | None,
    last: int | None,
    only: FilterOptions,
    judged: JudgedOptions,
    by: str,
    trend: bool,
    quantity: str,
    csv_file: str | None,
    figure: str | None,
    output: OutputOptions,
) -> int:
    """Print what was asked for, and write it where a file is named."""
    settings = output.settings()
    where, unit = settings.store.value, settings.units.value
    narrowed = only.for_store(part)
    chosen = judged.chosen(by, trend)
    if figure is not None and not trend and chosen != "--chart":
        raise BadInput(
            "--figure without --trend or --chart: these are what is drawn; add one, or leave it out"
        )
    if chosen is not None and csv_file is not None:
        raise BadInput(f"--csv with {chosen}: it writes what is listed; leave one of them out")
    history_files.check_files(csv_file, figure, of_chart=chosen == "--chart")
    if chosen is not None:
        return _judged(chosen, judged, part, last, narrowed, figure, output)
    if trend and part is None:
        raise BadInput("--trend without PART: it is of one part; name it")
    by_turn = by == "turn" and not trend
    rows, damaged = list[store.HistoryRow](), list[int]()
    sweeps: list[store.StoredSweep] = []
    # Looking makes no store: record, watch and store add do.
    if not is_yet_to_be_made(settings):
        with store.open_store(where) as opened:
            rows, damaged = opened.readable_history(part, last, narrowed)
            if not by_turn or csv_file is not None:
                sweeps = opened.sweeps(row.recording_id for row in rows)
            where = opened.name
    if csv_file is not None:
        history_files.write_recordings(sweeps, csv_file)
    if figure is not None:
        history_files.draw_trend(studies.trend(sweeps, quantity), part or "", figure)
    if trend:
        as_json, as_text = _trend(sweeps, part or "", quantity, unit)
    elif by_turn:
        as_json, as_text = _turns(rows, damaged, None if last else SHOWN, where, unit)
    else:
        as_json, as_text = _together(sweeps, rows, by, where, unit)
    of_part = f" of {part!r}" if part else ""
    such = "" if narrowed == store.EVERYTHING else ", as asked for,"
    nothing = f"No turns{of_part}{such} in the store ({where}). fullturn record stores every turn as it ends."
    emit_plain(output, as_json, as_text if rows or damaged else lambda: Report(printable(nothing)))
    return 0


def _judged(
    chosen: str,
    judged: JudgedOptions,
    part: str | None,
    last: int | None,
    narrowed: "store.HistoryFilter",
    figure: str | None,
    output: OutputOptions,
) -> int:
    if last is not None:
        raise BadInput(f"--last with {chosen}: narrow it by --since instead, as whole days count")
    if chosen == "--again":
        return history_judged.again(judged.again_of, judged.why, part, narrowed, output)
    if chosen == "--suspect":
        return history_judged.suspect(part, narrowed, output)
    if part is None:
        raise BadInput(f"{chosen} without PART: it is of one check standard; name it")
    if chosen == "--chart":
        return history_judged.chart(part, narrowed, figure, output)
    return history_judged.fix_baseline(part, narrowed, output)


def _turns(
    rows: Sequence["store.HistoryRow"], damaged: Sequence[int], most: int | None, where: str, unit: str
) -> View:
    return (
        lambda: reports.history.as_json(rows, damaged),
        lambda: reports.history.as_text(rows, where, unit, damaged, most=most),
    )


def _together(
    sweeps: Sequence["store.StoredSweep"], rows: Sequence["store.HistoryRow"], by: str, where: str, unit: str
) -> View:
    if by == "recording":
        return (
            lambda: history_views.recordings_as_json(sweeps),
            lambda: history_views.recordings_as_text(sweeps, where, unit),
        )
    groups = studies.grouped(by, sweeps, rows)
    return (
        lambda: history_views.groups_as_json(groups),
        lambda: history_views.groups_as_text(groups, by, where),
    )


def _trend(sweeps: Sequence["store.StoredSweep"], part: str, quantity: str, unit: str) -> View:
    found = studies.trend(sweeps, quantity)
    return (
        lambda: history_views.trend_as_json(found),
        lambda: history_views.trend_as_text(found, part, unit),
    )
