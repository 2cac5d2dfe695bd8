"""Stored recordings analysed again, checks of a standard held against its limits, what hangs on a gauge."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime

from analysis import store, sweep
from analysis.decision import RULE, RULE_TEXT
from analysis.errors import BadInput, FullturnError, NotDecidable
from analysis.numerics import BLAS_THREADS
from analysis.setup import Stage
from logger import inputs, studies
from logger.commands.emitting import emit_plain
from logger.commands.exit_status import status_of
from logger.commands.options import OutputOptions
from logger.commands.run import history_files
from logger.commands.run.chosen_store import is_yet_to_be_made, present_store
from logger.commands.run.reported_sweep import report_sweep
from logger.program_version import PROGRAM_VERSION
from logger.reports import history_judged

OUT = 1
EVERY_TURN = 1_000_000_000


def again(
    name: str | None, why: str | None, part: str | None, only: "store.HistoryFilter", output: OutputOptions
) -> int:
    """Analyse one recording, or all that are listed, again; 3 where a decision is another one."""
    unit = output.unit
    done, left = list[studies.AnalysedAgain](), dict[str, str]()
    with present_store(output.settings()) as opened:
        where = opened.name
        if name is None:
            ids: Iterable[str] = (row.recording_id for row in opened.history(part, None, only))
        else:
            ids = [inputs.stored_file(name.removeprefix("store:"), opened).recording_id]
        for before in opened.sweeps(ids):
            try:
                done.append(_again(opened, before, why, unit))
            except FullturnError as error:
                if name is not None:
                    raise
                left[before.recording_id] = str(error)
    emit_plain(
        output,
        lambda: history_judged.again_as_json(done, left),
        lambda: history_judged.again_as_text(done, left, where, unit),
    )
    if left:
        return BadInput.exit_status
    return status_of("undecided") if any(one.flipped for one in done) else 0


def _again(
    opened: "store.Store", before: "store.StoredSweep", why: str | None, unit: str
) -> "studies.AnalysedAgain":
    known = store.StoredFile(before.recording_id, before.file, before.sha256, before.ended)
    path = inputs.whole_file(known, f"store:rec/{before.recording_id[:8]}")
    found = report_sweep(inputs.load_sweep(str(path), {}), unit)
    grounds = studies.why_moved(before, found.as_json, sweep.NUMERICS_VERSION, PROGRAM_VERSION)
    edition = opened.add_analysis(
        before.recording_id,
        found.state,
        found.as_json,
        PROGRAM_VERSION,
        numerics=sweep.NUMERICS_VERSION,
        made=_now(),
        why="; ".join(filter(None, (why, *grounds))),
        closing_facts=store.ClosingFacts(
            blas_threads=BLAS_THREADS, rule=RULE, rule_text=RULE_TEXT, decision_dof=found.dof
        ),
    )
    if edition == before.edition:
        grounds = studies.why_same(before, sweep.NUMERICS_VERSION)
    return studies.AnalysedAgain(before, edition, studies.tir_of(found.as_json), found.state, grounds)


# --- a check standard ------------------------------------------------------------------------------------


def fix_baseline(part: str, only: "store.HistoryFilter", output: OutputOptions) -> int:
    """Fix the limits of a check standard from what is listed of it."""
    unit = output.unit
    with present_store(output.settings()) as opened:
        checks, marked = _checks(opened, part, only)
        opened.standards.fix(studies.fixed_from(checks, marked, _now()))
        chart = _chart(opened, part, only)
    emit_plain(
        output,
        lambda: history_judged.chart_as_json(chart),
        lambda: history_judged.fixed_as_text(chart, part, unit),
    )
    return 0


def chart(part: str, only: "store.HistoryFilter", figure: str | None, output: OutputOptions) -> int:
    """Hold the checks of a standard against its limits: 0 the newest is in control, 1 out, 3 none.

    They are drawn too where a ``figure`` is named.
    """
    unit, settings = output.unit, output.settings()
    if is_yet_to_be_made(settings):
        raise NotDecidable(_no_check(part, Stage.CHECK_STANDARD.value, settings.store.value))
    with present_store(settings) as opened:
        found = _chart(opened, part, only)
    if figure is not None and found.points:
        history_files.draw_chart(found, part, unit, figure)
    if not found.judged and not output.as_json:
        raise NotDecidable(
            f'no check of {part!r} since its limits were fixed: record one with --set stage="check standard"'
        )
    emit_plain(
        output,
        lambda: history_judged.chart_as_json(found),
        lambda: history_judged.chart_as_text(found, part, unit),
    )
    if not found.judged:
        return NotDecidable.exit_status
    return OUT if found.judged[-1].out else 0


def _chart(opened: "store.Store", part: str, only: "store.HistoryFilter") -> "studies.CheckChart":
    checks, marked = _checks(opened, part, only)
    standard = opened.standards.newest(part, checks[0].serial, checks[0].stage)
    if standard is None:
        raise NotDecidable(
            f"no limits are fixed for {part!r}: measure it on 10 days and fix them with "
            f"`fullturn history {part!r} --fix-baseline`; {len(checks)} checks are stored"
        )
    turns: dict[str, list[complex]] = {}
    for turn in opened.stored_turns(EVERY_TURN, part):
        if turn.cos_mm and turn.left_out is None:
            turns.setdefault(turn.recording_id, []).append(complex(turn.cos_mm[0], turn.sin_mm[0]))
    return studies.check_chart(checks, marked, standard, turns)


def _checks(
    opened: "store.Store", part: str, only: "store.HistoryFilter"
) -> "tuple[list[store.StoredSweep], set[str]]":
    """Return what is listed of one standard, and which of it have their angles from a mark."""
    only = replace(only, stage=only.stage or Stage.CHECK_STANDARD.value)
    rows = opened.history(part, None, only)
    checks = opened.sweeps(row.recording_id for row in rows)
    serials = sorted({one.serial for one in checks})
    if len(serials) > 1:
        raise BadInput(f"{part!r} has checks of {len(serials)} serials ({', '.join(serials)}): name --serial")
    if not checks:
        raise NotDecidable(_no_check(part, only.stage or "", opened.name))
    return checks, {row.recording_id for row in rows if row.mark}


def _no_check(part: str, stage: str, where: str) -> str:
    return (
        f"no recording of {part!r} at {stage} in {where}: record it with "
        f'--set stage="{Stage.CHECK_STANDARD.value}", or name another --stage'
    )


# --- what hangs on a gauge -------------------------------------------------------------------------------


def suspect(part: str | None, only: "store.HistoryFilter", output: OutputOptions) -> int:
    """List what hangs on a gauge that was past due, found worse, or failed by its check."""
    with present_store(output.settings()) as opened:
        where = opened.name
        sweeps = opened.sweeps(row.recording_id for row in opened.history(part, None, only))
        calibrations = {one.gauge_id: one for one in opened.register.gauges() if one.gauge_id is not None}
        newest = {(one.part, one.serial, one.stage): one for one in reversed(opened.standards.all())}
        charts = [
            _chart(opened, one.part, store.HistoryFilter(serial=one.serial, stage=one.stage))
            for one in newest.values()
        ]
    found = studies.suspects(sweeps, calibrations, charts)
    emit_plain(
        output,
        lambda: history_judged.suspects_as_json(found),
        lambda: history_judged.suspects_as_text(found, len(sweeps), where),
    )
    return 0


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
