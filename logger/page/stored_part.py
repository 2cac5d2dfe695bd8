"""Recordings of a part that the store knows: the newest at each stage a page is of, wherever they lie."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from analysis import store
from analysis.errors import BadInput
from analysis.setup import Stage
from logger.inputs import whole_file

STAGES = (Stage.AS_FOUND, Stage.AS_LEFT)
"""A limit is held against the part at these."""


@dataclass(frozen=True, slots=True)
class StoredPlace:
    """One recording, and how its file is had."""

    started: str
    known: "store.StoredFile"

    def file(self) -> Path:
        """Return its file after it was held to its checksum. Raises BadInput."""
        return whole_file(self.known, f"store:rec/{self.known.recording_id[:8]}")


def newest_stored(
    opened: "store.Store", part: str, *, serial: str | None = None, job: str | None = None
) -> Mapping[Stage, StoredPlace]:
    """Return the newest finished recording of a part by stage; of one serial and job where they are named.

    Raises BadInput where several serials might be meant.
    """
    found: dict[Stage, StoredPlace] = {}
    for stage in STAGES:
        only = store.HistoryFilter(serial=serial, job=job, stage=stage.value)
        sweeps = opened.sweeps(row.recording_id for row in opened.history(part, None, only))
        finished = [one for one in sweeps if one.sha256 is not None]
        serials = sorted({one.serial for one in finished})
        if len(serials) > 1:
            raise BadInput(
                f"{part!r} at {stage} is stored with {len(serials)} serials "
                f"({', '.join(one or 'none' for one in serials)}): name one with --serial"
            )
        if finished:
            last = finished[-1]
            known = store.StoredFile(last.recording_id, last.file, last.sha256, last.ended)
            found[stage] = StoredPlace(last.started, known)
    return found
