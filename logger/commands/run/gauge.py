"""The register of gauges: entered, listed, shown."""

from dataclasses import replace
from datetime import date

from analysis import store
from analysis.errors import BadInput
from logger import reports
from logger.commands.emitting import emit_plain
from logger.commands.options import OutputOptions
from logger.commands.run.chosen_store import chosen_store, is_yet_to_be_made
from logger.commands.run.typed_values import (
    now_utc,
    typed_date,
    typed_initials,
    typed_length_mm,
    typed_name,
    typed_table_mm,
    typed_text,
)


def add(
    id: str,
    kind: str,
    serial: str | None,
    certificate: str | None,
    certified: str | None,
    due: str | None,
    error: str | None,
    means: str | None,
    span: str | None,
    resolution: str | None,
    table: str | None,
    who: str | None,
    output: OutputOptions,
) -> int:
    """Enter a gauge, or a new calibration of it."""
    error_mm = typed_length_mm("--error", error)
    for option, given in (("--means", means), ("--span", span)):
        if given is not None and error_mm is None:
            raise BadInput(f"{option} {given} says something of an error that is not there: add --error")
    entry = store.GaugeEntry(
        id=typed_name("the gauge's ID", id),
        kind=kind,
        serial=typed_text("--serial", serial),
        certificate=typed_text("--certificate", certificate),
        certified=typed_date("--certified", certified),
        due=typed_date("--due", due),
        error_mm=error_mm,
        error_span_mm=typed_length_mm("--span", span),
        error_means=(means or "limits") if error_mm is not None else None,
        resolution_mm=typed_length_mm("--resolution", resolution),
        table_mm=typed_table_mm("--table", table),
        added=now_utc(),
        who=typed_initials("--who", who),
    )
    if entry.certified and entry.due and entry.due < entry.certified:
        raise BadInput(
            f"--due {entry.due} is before --certified {entry.certified}: a certificate holds after its day; "
            "correct one of the two"
        )
    settings = output.settings()
    with store.open_store(chosen_store(settings)) as opened:
        before = next(
            (one for one, _ in opened.register.calibrations(entry.id, kind) if one.source == "register"), None
        )
        if before is not None and _same(before, entry):
            raise BadInput(
                f"gauge {entry.id!r} is entered so already (row {before.gauge_id}): add it again after "
                "its next calibration"
            )
        kept = opened.register.add_gauge(entry)
        where = opened.name
    emit_plain(
        output,
        lambda: reports.register.gauge_as_json(kept),
        lambda: reports.register.gauge_added_as_text(kept, where, output.unit),
    )
    return 0


def _same(one: store.GaugeEntry, other: store.GaugeEntry) -> bool:
    return replace(one, gauge_id=None, replaces=None, added="", who=None) == replace(
        other, added="", who=None
    )


def list_gauges(every: bool, output: OutputOptions) -> int:
    """List the newest calibration of each gauge, or all."""
    settings = output.settings()
    where, entries = settings.store.value, list[store.GaugeEntry]()
    if not is_yet_to_be_made(settings):
        with store.open_store(where) as opened:
            entries, where = opened.register.gauges(), opened.name
    if not every:
        # What was entered stands over what only a set-up said; of either the newest.
        entries.sort(key=lambda one: (one.id, one.kind, one.source == "register", one.gauge_id or 0))
        entries = list({(one.id, one.kind): one for one in entries}.values())
    emit_plain(
        output,
        lambda: reports.register.gauges_as_json(entries),
        lambda: reports.register.gauges_as_text(entries, where, output.unit, date.today()),
    )
    return 0


def show(id: str, kind: str, output: OutputOptions) -> int:
    """Show every calibration of one gauge."""
    settings, name = output.settings(), typed_name("the gauge's ID", id)
    found = list[tuple[store.GaugeEntry, store.GaugeUse]]()
    if not is_yet_to_be_made(settings):
        with store.open_store(settings.store.value) as opened:
            found = opened.register.calibrations(name, kind)
    if not found:
        raise BadInput(
            f"{kind} {name!r} is not in the store: `fullturn gauge list` names those that are, "
            "`fullturn gauge add` enters one"
        )
    emit_plain(
        output,
        lambda: reports.register.calibrations_as_json(found),
        lambda: reports.register.calibrations_as_text(found, output.unit, date.today()),
    )
    return 0
