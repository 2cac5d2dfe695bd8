"""A recording that is there already, put into the store as if it were being made again."""

from dataclasses import dataclass
from pathlib import Path

from analysis.errors import BadInput
from logger.acquisition.recorder import Identity, Recorded
from logger.acquisition.turn_notes import TurnNotes
from logger.acquisition.turn_store import TurnStore
from logger.acquisition.worker import Worker
from logger.acquisition.worker_messages import EventTaken, WorkerEnded
from logger.recording import RecordingReader
from logger.session import FinishedTurnSamples, Session
from logger.sources import ReplaySource


@dataclass(frozen=True)
class RecordingAgain:
    """A recording read again, in the shape of one that is being made."""

    identity: Identity
    path: Path
    session: Session


def identity_of(reader: RecordingReader) -> Identity:
    """Return who a recording is; raises BadInput for one that says nothing of it."""
    if not reader.origin.recording_id:
        raise BadInput(
            f"{reader.path} does not say which recording it is: the store could not tell it from others; "
            "`fullturn sweep` reads it all the same"
        )
    return Identity(reader.origin.recording_id, reader.origin.started)


def replay_into_store(reader: RecordingReader, where: str, version: str) -> tuple[TurnStore, Recorded]:
    """Play a recording through the worker that records, and return the store's side of it, not yet closed.

    Its turns come out as they did while it was recorded, to the last digit, and so does what was noted of
    them. Raises FullturnError.
    """
    session = Session()
    session.change_setup(reader.setup)
    again = RecordingAgain(identity_of(reader), reader.path, session)
    kept = TurnStore(where, again, version)
    kept.begin(lambda _: None)
    worker = Worker(ReplaySource(reader), session)
    notes = TurnNotes()
    worker.start()
    try:
        while not isinstance(message := worker.messages.get(), WorkerEnded):
            if isinstance(message, FinishedTurnSamples):
                kept.add(message)
                kept.fit()
            elif isinstance(message, EventTaken) and (note := notes.of(message)) is not None:
                kept.add_note(note)
            if kept.half_full:
                kept.keep(lambda _: None)
                if kept.refusal is not None:
                    raise kept.refusal
    finally:
        worker.stop()
        worker.join()
    if worker.fault is not None:
        raise worker.fault
    recorded = Recorded(reader.path, again.identity, 0, worker.link_bytes, None, False, worker.heard)
    return kept, recorded
