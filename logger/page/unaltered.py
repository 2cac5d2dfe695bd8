"""What is put on a page has the bytes it was recorded with, as far as its file and the store can tell."""

from collections.abc import Iterable
from pathlib import Path

from analysis import store
from analysis.errors import BadInput
from logger import recording
from logger.inputs import AnalysedSweep

DIGITS = 12
"""So many of a checksum are printed."""


def refuse_altered(sweeps: Iterable[AnalysedSweep], opened: "store.Store | None") -> None:
    """Refuse recordings whose own checksums, or what the store knows of them, do not hold.

    ``opened`` None: no store is asked. Raises BadInput, StoreError.
    """
    for one in sweeps:
        origin = one.origin
        if origin.recording_id is None or origin.sha256 is None:
            continue
        found = f"{origin.file} is recording {origin.recording_id}"
        mend = "altered since it was recorded, and not used; put the right file back"
        if recording.is_altered(Path(origin.file)):
            raise BadInput(f"{found}, and the checksums it was closed with do not hold: {mend}")
        known = opened.upkeep.files_of_identity(origin.recording_id, 1) if opened is not None else []
        if known and known[0].sha256 not in (None, origin.sha256):
            raise BadInput(
                f"{found}, and its file has the SHA-256 {origin.sha256[:DIGITS]}..., expected "
                f"{str(known[0].sha256)[:DIGITS]}... by the store: {mend}"
            )
