"""The parts in the store: entered, listed, shown."""

from analysis import store
from analysis.errors import BadInput
from logger import reports
from logger.commands.emitting import emit_plain
from logger.commands.options import OutputOptions
from logger.commands.run.chosen_store import chosen_store, is_yet_to_be_made
from logger.commands.run.typed_values import typed_name, typed_text


def add(
    number: str,
    serial: str,
    name: str | None,
    drawing: str | None,
    customer: str | None,
    output: OutputOptions,
) -> int:
    """Enter a part."""
    entry = store.PartEntry(
        number=typed_name("the part's NUMBER", number),
        serial=serial.strip(),
        name=typed_text("--name", name),
        drawing=typed_text("--drawing", drawing),
        customer=typed_text("--customer", customer),
    )
    with store.open_store(chosen_store(output.settings())) as opened:
        kept, where = opened.register.add_part(entry), opened.name
    emit_plain(
        output,
        lambda: reports.register.part_as_json(kept),
        lambda: reports.register.part_added_as_text(kept, where),
    )
    return 0


def list_parts(output: OutputOptions) -> int:
    """List the parts."""
    settings = output.settings()
    where, entries = settings.store.value, list[store.PartEntry]()
    if not is_yet_to_be_made(settings):
        with store.open_store(where) as opened:
            entries, where = opened.register.parts(), opened.name
    emit_plain(
        output,
        lambda: reports.register.parts_as_json(entries),
        lambda: reports.register.parts_as_text(entries, where),
    )
    return 0


def show(number: str, serial: str | None, output: OutputOptions) -> int:
    """Show the parts of one number with their recordings."""
    settings, wanted = output.settings(), typed_name("the part's NUMBER", number)
    found = list[tuple[store.PartEntry, list[store.SweepEntry]]]()
    if not is_yet_to_be_made(settings):
        with store.open_store(settings.store.value) as opened:
            found = opened.register.parts_of_number(wanted)
    serials = [one.serial for one, _ in found]
    if serial is not None:
        found = [(one, sweeps) for one, sweeps in found if one.serial == serial.strip()]
    if not found:
        known = ", ".join(one or "(none)" for one in serials)
        of_serial = f" with serial {serial!r} (known: {known})" if serials else ""
        raise BadInput(
            f"part {wanted!r}{of_serial} is not in the store: `fullturn part list` names those that are"
        )
    emit_plain(
        output,
        lambda: reports.register.parts_with_sweeps_as_json(found),
        lambda: reports.register.parts_with_sweeps_as_text(found, output.unit),
    )
    return 0
