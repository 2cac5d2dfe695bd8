"""Recordings that are there already, put into the store."""

from collections.abc import Sequence

import click

from analysis import store
from analysis.errors import BadInput, NotDecidable
from logger import reports
from logger.acquisition import identity_of, replay_into_store
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.commands.run.chosen_store import chosen_store
from logger.commands.run.reported_sweep import report_sweep
from logger.inputs import load_sweep
from logger.program_version import PROGRAM_VERSION
from logger.recording import RecordingReader, sha256_of
from logger.reports.added_files import AddedFile
from logger.reports.phrases import layout


def add(files: Sequence[str], output: OutputOptions) -> int:
    """Add what is missing of each file; nothing of any where one of them is refused."""
    settings = output.settings()
    where = chosen_store(settings)
    readers = [RecordingReader(file) for file in files]
    with store.open_store(where) as opened:
        for reader in readers:
            _known(opened, reader)
        # Asked again for each: one file may have been named twice.
        done = [
            _known(opened, reader) or _add(opened, reader, where, settings.units.value) for reader in readers
        ]
    if output.as_json:
        print_json(reports.added_files.as_json(done))
    else:
        click.echo(layout(reports.added_files.as_text(done, where)))
    return 0


def _known(opened: store.Store, reader: RecordingReader) -> AddedFile | None:
    """Return what the store has of a finished recording; BadInput where that was another file."""
    recording_id, sha256 = identity_of(reader).recording_id, sha256_of(reader.path)
    found = opened.stored_recording(recording_id)
    if found is None or found.sha256 is None:
        return None
    if found.sha256 != sha256:
        raise BadInput(
            f"{reader.path} has the SHA-256 {sha256[:12]}..., the store knows recording {recording_id} with "
            f"{found.sha256[:12]}...: one of them was changed since; add the file that was recorded"
        )
    return AddedFile(str(reader.path), recording_id, sha256, found.turns, found.state, added=False)


def _add(opened: store.Store, reader: RecordingReader, where: str, unit: str) -> AddedFile:
    kept, recorded = replay_into_store(reader, where, PROGRAM_VERSION)
    try:
        sweep = report_sweep(load_sweep(str(reader.path), {}), unit)
        kept.finish(recorded, reader.closed, sweep.state, sweep.as_json, sweep.dof)
    except (BadInput, NotDecidable):
        # It holds no sweep: its place in the store tells at least that it is there.
        kept.finish(recorded, reader.closed, None, {})
    kept.close()
    if kept.refusal is not None:
        raise kept.refusal
    added = opened.stored_recording(recorded.identity.recording_id)
    assert added is not None
    assert added.sha256 is not None
    return AddedFile(
        str(reader.path), recorded.identity.recording_id, added.sha256, added.turns, added.state, added=True
    )
