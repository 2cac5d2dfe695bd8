"""Gauges, parts and jobs of the register, as text and as JSON; the keys are a promise."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from analysis.store import GaugeEntry, GaugeUse, JobEntry, PartEntry, SweepEntry
from analysis.units import format_length
from logger.reports.history import ENDED_WORDS
from logger.reports.phrases import STATE_WORDS, Report, Section
from logger.reports.to_json import to_json

FROM_SET_UP = "known from a set-up only, not entered"
MEANS_WORDS = {"limits": "+-{}", "U95": "U {} (k = 2)", "u": "u {} (k = 1)"}

# --- gauges ----------------------------------------------------------------------------------------------


def _gauge(one: GaugeEntry) -> dict[str, Any]:
    return {
        "gauge_id": one.gauge_id,
        "id": one.id,
        "kind": one.kind,
        "serial": one.serial,
        "certificate": one.certificate,
        "certified": one.certified,
        "due": one.due,
        "error_mm": one.error_mm,
        "error_span_mm": one.error_span_mm,
        "error_means": one.error_means,
        "resolution_mm": one.resolution_mm,
        "table_mm": [list(point) for point in one.table_mm],
        "replaces": one.replaces,
        "added": one.added,
        "who": one.who,
        "source": one.source,
    }


def gauge_as_json(entry: GaugeEntry) -> dict[str, Any]:
    """Return the object of ``gauge add``."""
    return to_json({"gauge": _gauge(entry)})


def gauges_as_json(entries: Sequence[GaugeEntry]) -> dict[str, Any]:
    """Return the object of ``gauge list``."""
    return to_json({"gauges": [_gauge(one) for one in entries]})


def calibrations_as_json(found: Sequence[tuple[GaugeEntry, GaugeUse]]) -> dict[str, Any]:
    """Return the object of ``gauge show``."""
    return to_json(
        {
            "calibrations": [
                {**_gauge(one), "recordings": use.recordings, "first": use.first, "last": use.last}
                for one, use in found
            ]
        }
    )


def gauge_added_as_text(entry: GaugeEntry, where: str, unit: str) -> Report:
    """Return the text of ``gauge add``."""
    before = f"; row {entry.replaces} stays and is replaced from now on" if entry.replaces else ""
    return Report(
        f"{entry.kind} {entry.id} is in the store ({where}) as row {entry.gauge_id}{before}.",
        rows=(_says(entry, unit),),
        notes=(f'Record with --set gauge_id="{entry.id}".',) if entry.kind == "indicator" else (),
    )


def gauges_as_text(entries: Sequence[GaugeEntry], where: str, unit: str, today: date) -> Report:
    """Return the text of ``gauge list``."""
    if not entries:
        return Report(f"No gauges in the store ({where}). fullturn gauge add enters one.")
    return Report(
        f"{len(entries)} in {where}",
        rows=tuple(
            f"{one.id:<20} {one.kind:<12} {_says(one, unit)}{_overdue(one, today)}" for one in entries
        ),
    )


def calibrations_as_text(found: Sequence[tuple[GaugeEntry, GaugeUse]], unit: str, today: date) -> Report:
    """Return the text of ``gauge show``."""
    newest = found[0][0]
    return Report(
        f"{newest.kind} {newest.id}, newest calibration first",
        rows=tuple(
            f"row {one.gauge_id}, {one.added}: {_says(one, unit)}{_overdue(one, today)}; {_used(use)}"
            for one, use in found
        ),
    )


def _says(one: GaugeEntry, unit: str) -> str:
    error = "no error entered"
    if one.error_mm is not None:
        error = MEANS_WORDS[one.error_means or "limits"].format(format_length(one.error_mm, unit))
        if one.error_span_mm is not None:
            error += f" within {format_length(one.error_span_mm, unit)}"
    certificate = f"certificate {one.certificate}" if one.certificate else "no certificate"
    due = f"due {one.due}" if one.due else "no due date"
    table = f", table of {len(one.table_mm)} points" if one.table_mm else ""
    known = f" ({FROM_SET_UP})" if one.source != "register" else ""
    return f"{certificate}, {due}, {error}{table}{known}"


def _overdue(one: GaugeEntry, today: date) -> str:
    past = one.due is not None and date.fromisoformat(one.due) < today
    return ": past due, have it calibrated" if past else ""


def _used(use: GaugeUse) -> str:
    if not use.recordings:
        return "no recordings"
    if use.recordings == 1:
        return f"1 recording, {use.first}"
    return f"{use.recordings} recordings, {use.first} to {use.last}"


# --- parts and jobs --------------------------------------------------------------------------------------


def _part(one: PartEntry) -> dict[str, Any]:
    return {
        "part_id": one.part_id,
        "number": one.number,
        "serial": one.serial,
        "name": one.name,
        "drawing": one.drawing,
        "customer": one.customer,
    }


def _job(one: JobEntry) -> dict[str, Any]:
    return {
        "job_id": one.job_id,
        "number": one.number,
        "customer": one.customer,
        "contact": one.contact,
        "received": one.received,
        "condition": one.condition,
        "place": one.place,
        "closed": one.closed,
    }


def _sweeps(sweeps: Sequence[SweepEntry]) -> list[dict[str, Any]]:
    return [
        {
            "recording_id": one.recording_id,
            "started": one.started,
            "part": one.part,
            "job": one.job,
            "stage": one.stage,
            "ended": one.ended,
            "state": one.state,
            "tir_fit_mm": one.tir_fit_mm,
            "high_point_deg": one.high_point_deg,
        }
        for one in sweeps
    ]


def part_as_json(entry: PartEntry) -> dict[str, Any]:
    """Return the object of ``part add``."""
    return to_json({"part": _part(entry)})


def parts_as_json(entries: Sequence[PartEntry]) -> dict[str, Any]:
    """Return the object of ``part list``."""
    return to_json(
        {"parts": [{**_part(one), "recordings": one.recordings, "last": one.last} for one in entries]}
    )


def parts_with_sweeps_as_json(found: Sequence[tuple[PartEntry, Sequence[SweepEntry]]]) -> dict[str, Any]:
    """Return the object of ``part show``."""
    return to_json({"parts": [{**_part(one), "sweeps": _sweeps(sweeps)} for one, sweeps in found]})


def job_as_json(entry: JobEntry) -> dict[str, Any]:
    """Return the object of ``job add``."""
    return to_json({"job": _job(entry)})


def jobs_as_json(entries: Sequence[JobEntry]) -> dict[str, Any]:
    """Return the object of ``job list``."""
    return to_json(
        {"jobs": [{**_job(one), "recordings": one.recordings, "last": one.last} for one in entries]}
    )


def job_with_sweeps_as_json(entry: JobEntry, sweeps: Sequence[SweepEntry]) -> dict[str, Any]:
    """Return the object of ``job show``."""
    return to_json({"job": {**_job(entry), "sweeps": _sweeps(sweeps)}})


def part_added_as_text(entry: PartEntry, where: str) -> Report:
    """Return the text of ``part add``."""
    return Report(f"Part {_name(entry)} is in the store ({where}).", notes=(_how_to_record(entry),))


def _how_to_record(entry: PartEntry) -> str:
    serial = f' --set serial="{entry.serial}"' if entry.serial else ""
    return f'Record with --set part="{entry.number}"{serial}.'


def parts_as_text(entries: Sequence[PartEntry], where: str) -> Report:
    """Return the text of ``part list``."""
    if not entries:
        return Report(f"No parts in the store ({where}). A recording with --set part=NUMBER brings its own.")
    return Report(
        f"{len(entries)} parts in {where}",
        rows=tuple(f"{_name(one):<36} {_measured(one)}{_besides(one)}" for one in entries),
    )


def parts_with_sweeps_as_text(found: Sequence[tuple[PartEntry, Sequence[SweepEntry]]], unit: str) -> Report:
    """Return the text of ``part show``."""
    return Report(
        f"Part {found[0][0].number}, newest recording first",
        sections=tuple(
            Section(f"{_name(one)}{_besides(one)}", _sweep_rows(sweeps, unit)) for one, sweeps in found
        ),
    )


def job_added_as_text(entry: JobEntry, where: str) -> Report:
    """Return the text of ``job add``."""
    return Report(
        f"Job {entry.number} is in the store ({where}).",
        notes=(f'Record with --set job="{entry.number}".',),
    )


def jobs_as_text(entries: Sequence[JobEntry], where: str) -> Report:
    """Return the text of ``job list``."""
    if not entries:
        return Report(f"No jobs in the store ({where}). A recording with --set job=NUMBER brings its own.")
    return Report(
        f"{len(entries)} jobs in {where}",
        rows=tuple(f"{one.number:<36} {_measured(one)}{_besides(one)}" for one in entries),
    )


def job_with_sweeps_as_text(entry: JobEntry, sweeps: Sequence[SweepEntry], unit: str) -> Report:
    """Return the text of ``job show``."""
    return Report(
        f"Job {entry.number}{_besides(entry)}, newest recording first", rows=_sweep_rows(sweeps, unit)
    )


def _name(part: PartEntry) -> str:
    return f"{part.number}, serial {part.serial}" if part.serial else part.number


def _measured(one: PartEntry | JobEntry) -> str:
    if not one.recordings:
        return "no recordings"
    return f"{one.recordings} recording{'s' if one.recordings > 1 else ''}, last {one.last}"


def _besides(one: PartEntry | JobEntry) -> str:
    named = (
        (
            ("", one.name),
            ("drawing ", one.drawing),
            ("for ", one.customer),
        )
        if isinstance(one, PartEntry)
        else (
            ("for ", one.customer),
            ("received ", one.received),
            ("", one.condition),
        )
    )
    return "".join(f"; {word}{value}" for word, value in named if value)


def _sweep_rows(sweeps: Sequence[SweepEntry], unit: str) -> tuple[str, ...]:
    return tuple(_sweep_row(one, unit) for one in sweeps) or ("no recordings",)


def _sweep_row(one: SweepEntry, unit: str) -> str:
    tir = "-" if one.tir_fit_mm is None else format_length(one.tir_fit_mm, unit)
    high = "-" if one.high_point_deg is None else f"{one.high_point_deg:.1f} deg"
    state = STATE_WORDS[one.state] if one.state else ENDED_WORDS.get(one.ended or "", "no decision")
    name = one.part or "(no part named)"
    return f"{one.started}  {one.recording_id[:8]}  {name:<24} {one.stage:<12} {tir:>11} @ {high:>9}  {state}"
