"""A batch as it is printed: one line a part while it goes on, the table and the object at its end."""

from collections.abc import Iterable, Sequence
from typing import Any

from analysis.decision import DecisionState
from analysis.units import format_length
from logger.batch.batch import Batch
from logger.batch.checks import OUT, CheckVerdict
from logger.batch.second_sweeps import Repeat
from logger.batch.sweep_of_part import NO_LIMIT, REFUSED, SHORT, MeasuredPart
from logger.reports.phrases import Report, Section, layout

_NUMBERS = (
    "tir_mm",
    "tir_low_mm",
    "tir_high_mm",
    "limit_mm",
    "state",
    "in_doubt",
    "why",
    "file",
    "recording_id",
)


def in_one_line(one: MeasuredPart, batch: Batch) -> str:
    """Return what is said of a part as soon as it is measured."""
    if one.recording_id in batch.checks:
        return _check_words(one, batch)
    to_go = f"; {len(batch.left)} of {len(batch.planned)} to go" if batch.planned else ""
    why = f" ({one.why})" if one.why else ""
    if one.is_second and one.counts and one.serial in batch.repeats:
        return f"{batch.repeats[one.serial].words(batch.unit)}{to_go}"
    name = one.part if one.is_check else one.serial
    if not one.counts:
        return f"{name}: {one.words.upper()}{why}{to_go}"
    tir = f"TIR {format_length(one.tir_mm, batch.unit)}, 95 % {_interval(one, batch.unit)}"
    return f"{one.serial}: {tir}: {one.words}{why}{to_go}"


def _check_words(one: MeasuredPart, batch: Batch) -> str:
    verdict = batch.checks[one.recording_id]
    if verdict.state != OUT:
        return verdict.words[0].upper() + verdict.words[1:]
    names = _runs(list(batch.suspects), batch.planned)
    hanging = f"Suspect, measured since the last good check: {names}" if names else "No part hangs on it"
    return f"{verdict.words[0].upper()}{verdict.words[1:]}. {hanging}"


def _runs(serials: Sequence[str], planned: Sequence[str]) -> str:
    """Return serials with runs of the plan as first to last."""
    at = {serial: k for k, serial in enumerate(planned)}
    runs: list[list[str]] = []
    for one in serials:
        follows = runs and one in at and runs[-1][-1] in at and at[one] == at[runs[-1][-1]] + 1
        if follows:
            runs[-1].append(one)
        else:
            runs.append([one])
    return ", ".join(f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs)


def _interval(one: MeasuredPart, unit: str) -> str:
    return f"{_bare(one.tir_low_mm, unit)} to {_bare(one.tir_high_mm, unit)}"


def counts(batch: Batch) -> str:
    """Return how many parts are in which state."""
    words = (
        (DecisionState.WITHIN, "within"),
        (DecisionState.OVER, "over"),
        (DecisionState.UNDECIDED, "not decided"),
        (REFUSED, "refused"),
        (SHORT, "cut short"),
        (NO_LIMIT, "without a decision"),
    )
    words_of_states = ", ".join(f"{batch.count(state)} {word}" for state, word in words if batch.count(state))
    number = len(batch.parts)
    return f"{number} part{'' if number == 1 else 's'} of job {batch.job} measured" + (
        f": {words_of_states}" if words_of_states else ""
    )


def as_text(batch: Batch, command: str = "") -> str:
    """Return the table at the end; ``command``: what goes on with the parts that are left."""
    unit, hanging = batch.unit, batch.suspects
    wide = max([6, *(len(one) for one in (*batch.parts, *batch.left))])
    head = f"{'serial':<{wide}}  {'TIR ' + unit:>9}  {'95 % ' + unit:<18}  state"
    rows = [
        f"{one.serial:<{wide}}  {_bare(one.tir_mm, unit) if one.counts else '-':>9}  "
        f"{_interval(one, unit) if one.counts else '-':<18}  {one.words}"
        + (f": {one.why}" if not one.counts else "")
        + ("; SUSPECT" if one.serial in hanging else "")
        for one in batch.parts.values()
    ]
    sections = [Section("", (head, *rows))] if rows else []
    reasons = {one.serial: one.reason for one in batch.skipped}
    if batch.left:
        left = ", ".join(
            f"{one} (skipped: {reasons[one]})" if one in reasons else one for one in _short(batch)
        )
        notes = (f"These go on: {command}",) if command else ()
        sections.append(
            Section(f"Not measured, {len(batch.left)} of {len(batch.planned)}: {left}", (), notes)
        )
    unplanned = [one for one in batch.skipped if one.serial not in batch.left]
    if unplanned:
        skipped = "; ".join(f"{one.serial}: {one.reason}" for one in unplanned)
        sections.append(Section(f"Skipped: {skipped}"))
    if batch.checks:
        sections.append(Section("Checks of the standard:", tuple(one.words for one in batch.checks.values())))
    if hanging:
        sections.append(
            Section(f"Suspect, for they hang on a check that was out: {_runs(list(hanging), batch.planned)}")
        )
    if batch.repeats:
        sections.append(Section("Put on again:", tuple(one.words(unit) for one in batch.repeats.values())))
    return layout(Report(f"{counts(batch)}.", sections=tuple(sections)))


def _bare(length_mm: float, unit: str) -> str:
    return format_length(length_mm, unit).removesuffix(f" {unit}")


def _short(batch: Batch) -> list[str]:
    """Return what is left, runs of the plan that follow one another as first to last."""
    reasons, left = {one.serial for one in batch.skipped}, set(batch.left)
    runs: list[list[str]] = []
    open_run = False
    for one in batch.planned:
        if one not in left or one in reasons:
            open_run = False
            if one in left:
                runs.append([one])
            continue
        if open_run:
            runs[-1].append(one)
        else:
            runs.append([one])
        open_run = True
    return [f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs]


def as_json(batch: Batch) -> dict[str, Any]:
    """Return the object of ``record --serials``."""
    hanging = batch.suspects
    return {
        "job": batch.job,
        "parts": len(batch.parts),
        "within": batch.count(DecisionState.WITHIN),
        "over": batch.count(DecisionState.OVER),
        "undecided": batch.count(DecisionState.UNDECIDED),
        "refused": batch.count(REFUSED),
        "rows": [
            {
                "serial": one.serial,
                **{name: getattr(one, name) for name in _NUMBERS},
                "suspect": hanging.get(one.serial, ""),
            }
            for one in batch.parts.values()
        ],
        "skipped": [{"serial": one.serial, "reason": one.reason} for one in batch.skipped],
        "left": list(batch.left),
        "standard_checks": checks_as_json(batch.checks.values()),
        "repeats": repeats_as_json(batch.repeats.values()),
    }


def checks_as_json(verdicts: Iterable[CheckVerdict]) -> list[dict[str, Any]]:
    """Return the checks of the standard between the parts."""
    names = ("part", "recording_id", "file", "state", "d2", "limit", "why")
    return [{name: getattr(one, name) for name in names} for one in verdicts]


def repeats_as_json(pairs: Iterable[Repeat]) -> list[dict[str, Any]]:
    """Return the parts that were measured a second time; the change is that of order 1, second less first."""
    return [
        {
            "serial": one.serial,
            "first_tir_mm": one.first.tir_mm,
            "second_tir_mm": one.second.tir_mm,
            "change_cos_mm": None if one.change_mm is None else one.change_mm.real,
            "change_sin_mm": None if one.change_mm is None else one.change_mm.imag,
            "change_tir_mm": one.change_tir_mm,
            "change_deg": one.change_deg,
            "recording_id": one.second.recording_id,
        }
        for one in pairs
    ]
