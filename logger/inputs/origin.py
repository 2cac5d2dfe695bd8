"""Where a sweep came from: its file, the identity of its recording, and whether that was closed."""

from dataclasses import dataclass


@dataclass(frozen=True)
class SweepOrigin:
    """Where a sweep came from."""

    file: str
    recording_id: str | None
    closed: bool | None
