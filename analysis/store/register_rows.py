"""Entries of the register as plain values: gauges, parts, jobs, and sweeps under them. Knows no database."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class GaugeEntry:
    """One calibration of one gauge. None = not entered."""

    id: str
    """As written on it."""
    kind: str = "indicator"
    """``indicator``, ``encoder``, ``thermometer`` or ``standard``."""
    serial: str | None = None
    certificate: str | None = None
    certified: str | None = None
    """Day, ISO 8601."""
    due: str | None = None
    """Last day on which the certificate holds, ISO 8601."""
    error_mm: float | None = None
    error_span_mm: float | None = None
    """Range over which that error holds; None = any."""
    error_means: str | None = None
    """``limits``, ``U95`` or ``u``; None where there is no error."""
    resolution_mm: float | None = None
    table_mm: tuple[tuple[float, float], ...] = ()
    """Points of the certificate, reading and error."""
    added: str
    """When it was entered, ISO 8601, UTC."""
    who: str | None = None
    """Initials."""
    source: str = "register"
    """``register``: typed as a gauge; ``set-up``: known only from recordings that name it."""
    gauge_id: int | None = None
    """Number of the row; None before it is stored."""
    replaces: int | None = None
    """Row of the calibration before."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PartEntry:
    """One part."""

    number: str
    serial: str = ""
    name: str | None = None
    drawing: str | None = None
    customer: str | None = None
    part_id: int | None = None
    recordings: int = 0
    last: str | None = None
    """When its last recording was begun; None = never."""


@dataclass(frozen=True, kw_only=True, slots=True)
class JobEntry:
    """One job."""

    number: str
    customer: str | None = None
    contact: str | None = None
    received: str | None = None
    """Day, ISO 8601."""
    condition: str | None = None
    """In what condition the part came."""
    place: str | None = None
    closed: str | None = None
    job_id: int | None = None
    recordings: int = 0
    last: str | None = None


@dataclass(frozen=True, slots=True)
class SweepEntry:
    """One recording under a part or a job."""

    recording_id: str
    started: str
    part: str
    job: str
    stage: str
    ended: str | None
    state: str | None
    tir_fit_mm: float | None
    high_point_deg: float | None


@dataclass(frozen=True, slots=True)
class GaugeUse:
    """How often one row of a gauge was used."""

    recordings: int
    first: str | None
    last: str | None
