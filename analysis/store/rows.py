"""The rows of the store as plain values: what goes in and what comes out. Knows nothing of databases."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class RecordingRow:
    """A recording as it is begun, before a single turn is known."""

    recording_id: str
    """The recording's own id (UUID4 text), the same as in its file."""
    file: str
    """Where the file was written."""
    started: str
    """When it was started, ISO 8601, UTC."""
    part: str
    """The part; empty when none was named."""
    job: str
    stage: str
    surface: str
    setup: Mapping[str, str]
    """The whole set-up, text to text, as written."""
    code_version: str
    """The version of fullturn that records."""


@dataclass(frozen=True)
class TurnRow:
    """One turn as it was kept, with the vector of every order. None = cannot be had."""

    recording_id: str
    turn: int
    """Number of the turn in its recording, from 0."""
    direction: int
    """+1 or -1, after sense."""
    recorded: str
    """When the turn ended, ISO 8601, UTC."""
    samples: int
    values: int
    """New gauge values among the samples."""
    coverage: float | None
    """Share of the turn that was seen, 0..1."""
    largest_gap_deg: float | None
    rpm: float | None
    tir_raw_mm: float | None
    tir_fit_mm: float | None
    tir_first_mm: float | None
    high_point_deg: float | None
    highest_order: int
    cos_mm: Sequence[float]
    """Cosine component of orders 1, 2, ..., mm; empty when the turn could not be fitted."""
    sin_mm: Sequence[float]
    """Sine component of the same orders, mm."""
    code_version: str
    options: Mapping[str, Any] = field(default_factory=dict)
    """What the analysis was asked for: orders, windows left out, calibration."""
    part: str | None = None
    """The part, where the set-up changed since the recording was begun; None = the recording's."""
    stage: str | None = None
    """The stage, likewise."""
    numerics: int | None = None
    """Version of the numbers; None = not known."""
    mark: str | None = None
    """Which mark the angles count from, equal only for the same one; None = from none, or not known."""


@dataclass(frozen=True, slots=True)
class StoredRecording:
    """How far the store has a recording."""

    sha256: str | None
    """Of its file; None until it is finished."""
    state: str | None
    """``within``, ``over`` or ``undecided``; None = nothing was decided, or not finished."""
    turns: int
    """How many of its turns are stored."""


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One stored turn as ``history`` lists it."""

    id: int
    part: str
    stage: str
    recorded: str
    tir_fit_mm: float | None
    high_point_deg: float | None
    state: str | None
    """``within``, ``over`` or ``undecided``, of the whole recording; None = nothing was decided."""
    recording_id: str
    sha256: str | None
    """Of the recording's file; None until it is finished."""
    ended: str | None
    """How the recording ended: ``closed`` or ``interrupted``; ``running`` until one of both is known."""
    numerics: int | None
    """Version of the numbers of this turn; None = stored before it was counted."""
    mark: str | None
    """Which mark its angles count from, equal only for the same one; None = from none, or not known."""
    setup: Mapping[str, str]
    """Set-up of its recording, as written."""


@dataclass(frozen=True, slots=True)
class HistoryFilter:
    """What narrows the turns that are listed; None = does not."""

    serial: str | None = None
    """Of a part: it goes with one."""
    job: str | None = None
    stage: str | None = None
    state: str | None = None
    """``within``, ``over``, ``undecided``; ``none``: finished without a decision; else how it ended."""
    gauge: str | None = None
    """Its id as written on it, whichever of its calibrations held."""
    operator: str | None = None
    """Initials."""
    since: str | None = None
    """First day, ISO 8601."""
    before: str | None = None
    """First day that is listed no more, ISO 8601."""


EVERYTHING = HistoryFilter()


@dataclass(frozen=True, slots=True)
class StoredSweep:
    """One recording with the newest of its analyses."""

    recording_id: str
    file: str
    sha256: str | None
    started: str
    part: str
    serial: str
    job: str
    stage: str
    operator: str | None
    ended: str | None
    gauge: str | None
    """Its id, None where none was named."""
    gauge_id: int | None
    """The calibration that held."""
    gauge_due: str | None
    setup: Mapping[str, str]
    edition: int
    """0 = as it was recorded."""
    state: str | None
    numerics: int | None
    code_version: str
    result: Mapping[str, Any] | None
    """The object of ``sweep``; None until the recording is finished."""
    result_sha256: str | None


@dataclass(frozen=True, slots=True)
class StoredTurn:
    """One stored turn with all that two turns are compared by."""

    id: int
    turn: int
    direction: int
    recorded: str
    part: str
    stage: str
    rpm: float | None
    tir_raw_mm: float | None
    tir_fit_mm: float | None
    high_point_deg: float | None
    cos_mm: tuple[float, ...]
    """Cosine component of orders 1, 2, ..., mm."""
    sin_mm: tuple[float, ...]
    setup: Mapping[str, str]
    """Set-up of its recording, as written."""
    recording_id: str
    starred: bool
    left_out: str | None
    """Why it is left out; None where it counts."""
    mark: str | None = None
    """Which mark its angles count from, equal only for the same one; None = from none, or not known."""


@dataclass(frozen=True, slots=True)
class TurnLeftOut:
    """A whole turn that a person left out."""

    turn: int
    reason: str
    made: str
    """When, ISO 8601, UTC."""

    def as_columns(self) -> dict[str, Any]:
        """Return its columns."""
        return {
            "turn": self.turn,
            "from_deg": None,
            "to_deg": None,
            "reason": self.reason,
            "made": self.made,
        }


@dataclass(frozen=True, slots=True)
class ClosingFacts:
    """What else is known of a recording once it has ended; None = not known."""

    ended_at: str | None = None
    """When the last byte came, ISO 8601, UTC."""
    bytes: int | None = None
    """Size of its file."""
    board_serial: str | None = None
    firmware: str | None = None
    practice: bool | None = None
    """Whether the virtual bench made it: invented data."""
    blas_threads: int | None = None
    rule: str | None = None
    """Name of the rule of its decision."""
    rule_text: str | None = None
    """That rule in words."""
    decision_dof: float | None = None
    """Degrees of freedom of the number that was held against the limit; None = infinite, or nothing was."""
    turns_left_out: Sequence[TurnLeftOut] = ()
