"""The jobs in the store: entered, listed, shown."""

from analysis import store
from analysis.errors import BadInput
from logger import reports
from logger.commands.emitting import emit_plain
from logger.commands.options import OutputOptions
from logger.commands.run.chosen_store import chosen_store, is_yet_to_be_made
from logger.commands.run.typed_values import typed_date, typed_name, typed_text


def add(
    number: str,
    customer: str | None,
    contact: str | None,
    received: str | None,
    condition: str | None,
    place: str | None,
    output: OutputOptions,
) -> int:
    """Enter a job."""
    entry = store.JobEntry(
        number=typed_name("the job's NUMBER", number),
        customer=typed_text("--customer", customer),
        contact=typed_text("--contact", contact),
        received=typed_date("--received", received),
        condition=typed_text("--condition", condition),
        place=typed_text("--place", place),
    )
    with store.open_store(chosen_store(output.settings())) as opened:
        kept, where = opened.register.add_job(entry), opened.name
    emit_plain(
        output,
        lambda: reports.register.job_as_json(kept),
        lambda: reports.register.job_added_as_text(kept, where),
    )
    return 0


def list_jobs(output: OutputOptions) -> int:
    """List the jobs."""
    settings = output.settings()
    where, entries = settings.store.value, list[store.JobEntry]()
    if not is_yet_to_be_made(settings):
        with store.open_store(where) as opened:
            entries, where = opened.register.jobs(), opened.name
    emit_plain(
        output,
        lambda: reports.register.jobs_as_json(entries),
        lambda: reports.register.jobs_as_text(entries, where),
    )
    return 0


def show(number: str, output: OutputOptions) -> int:
    """Show one job with its recordings."""
    settings, wanted = output.settings(), typed_name("the job's NUMBER", number)
    found = None
    if not is_yet_to_be_made(settings):
        with store.open_store(settings.store.value) as opened:
            found = opened.register.job(wanted)
    if found is None:
        raise BadInput(f"job {wanted!r} is not in the store: `fullturn job list` names those that are")
    entry, sweeps = found
    emit_plain(
        output,
        lambda: reports.register.job_with_sweeps_as_json(entry, sweeps),
        lambda: reports.register.job_with_sweeps_as_text(entry, sweeps, output.unit),
    )
    return 0
