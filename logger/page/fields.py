"""Whose part, where, with what and by whom: the fields of a record, each entered or said not to be recorded.

The clauses are those of ISO/IEC 17025:2017, 7.8 (read in public excerpts), which lists what a report states.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from analysis.capture.events import EndFloatMeasured
from analysis.setup import MarkSide, Quantity, Setup, Surface
from analysis.sweep import NUMERICS_VERSION
from analysis.units import format_length
from logger.inputs import AnalysedSweep
from logger.page.issue import Issue
from logger.page.part_on_page import MeasuredPart
from logger.page.register import Registered
from logger.page.shown import known, shown
from logger.reports.phrases import QUANTITY_WORDS, limit_words

NO_SOURCE = "source not entered: the limit is doubtful"


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that is recorded, or not."""

    name: str
    """What it is called in a list of what is missing."""
    text: str | None
    """None = not recorded."""
    label: str = ""
    """Printed before it; empty where the text says by itself what it is."""

    @property
    def words(self) -> str:
        """What is printed."""
        return f"{self.label} {known(self.text)}" if self.label else known(self.text)


@dataclass(frozen=True, slots=True)
class Field:
    """One line of the page: a heading, and its entries."""

    heading: str
    entries: tuple[Entry, ...]

    @property
    def words(self) -> str:
        """What is printed."""
        return "; ".join(entry.words for entry in self.entries)


def fields_of(part: MeasuredPart, issue: Issue) -> tuple[tuple[Field, ...], tuple[Field, ...]]:
    """Return the lines of the left and of the right column (clauses c, e to j of 7.8.2.1)."""
    after = part.after
    setup, text, known_of = after.result.setup, after.result.setup.text, part.known_of
    left = (
        Field(
            "Part",
            (
                Entry("part", text.get("part")),
                Entry("serial number", known_of.serial, "serial"),
                Entry("drawing", known_of.drawing, "drawing"),
            ),
        ),
        Field(
            "Job",
            (
                Entry("job", text.get("job")),
                Entry("customer", issue.customer or known_of.customer, "customer"),
                Entry("contact", known_of.contact, "contact"),
                Entry("date received", known_of.received, "received"),
                Entry("condition", known_of.condition, "condition"),
            ),
        ),
        Field("Surface", _surface(setup)),
        Field("Limit", _limit(after)),
        Field("Mark", (Entry("mark", _mark(after)),)),
        Field(
            "Assembly",
            (
                Entry("preload", text.get("preload"), "preload"),
                Entry("torque", text.get("torque"), "torque"),
                Entry("end float", _end_float(part), "end float before the sweep"),
            ),
        ),
    )
    right = (
        Field("Measured", tuple(_measured(part))),
        Field(
            "Place",
            (
                Entry("place", known_of.place),
                Entry("temperature", known_of.temperature, "temperature"),
            ),
        ),
        Field(
            "By",
            (
                Entry("who measured", text.get("operator")),
                Entry("issued", issue.issued.isoformat(), "issued"),
            ),
        ),
        Field("Indicator", _indicator(after, known_of)),
        Field("Encoder", (Entry("encoder", _encoder(after)),)),
        Field(
            "Method",
            (
                Entry("method", issue.method or None),
                Entry(
                    "computation",
                    f"orders 1 to {after.result.pooled.highest_order} by least squares, numerics "
                    f"{NUMERICS_VERSION}",
                ),
                Entry("sampling", "the part named, none chosen among others", "sampling"),
            ),
        ),
    )
    return left, right


def laboratory(issue: Issue) -> Field:
    """Return who answers for the record (clause b)."""
    return Field(
        "Laboratory",
        (
            Entry("laboratory", issue.laboratory or None),
            *([Entry("laboratory's address", issue.address or None)] if issue.laboratory else []),
        ),
    )


def not_recorded(every: Iterable[Field]) -> list[str]:
    """Return the names of what nobody entered, in the order of the page."""
    return [entry.name for one in every for entry in one.entries if not entry.text]


def time_words(iso: str | None) -> str | None:
    """Return a recording's time as it is printed, in UTC; what cannot be read as a time stays as it is."""
    if not iso:
        return None
    try:
        return f"{datetime.fromisoformat(iso):%Y-%m-%d %H:%M} UTC"
    except ValueError:
        return iso


def _measured(part: MeasuredPart) -> Iterable[Entry]:
    for title, one in zip(part.titles, part.sweeps, strict=True):
        yield Entry(f"time of {title.lower()}", time_words(one.origin.measured), title.lower())


def _surface(setup: Setup) -> tuple[Entry, ...]:
    def length(mm: float | None) -> str | None:
        return None if mm is None else f"{mm:g} mm"

    return (
        Entry("surface", str(setup.surface)),
        Entry("track radius", length(setup.track_radius_mm), "track radius"),
        *(() if setup.surface is Surface.FACE else (Entry("plane", length(setup.track_plane_mm), "plane"),)),
    )


def _limit(sweep: AnalysedSweep) -> tuple[Entry, ...]:
    limit = sweep.result.setup.limit
    if limit is None:
        return (Entry("limit", None, "limit"),)
    quantity = QUANTITY_WORDS.get(limit.quantity, str(limit.quantity))
    written = f"{limit_words(limit.length.mm, limit.length.as_written)} {quantity}"
    if limit.radius_mm is not None:
        written += f" at radius {limit.radius_mm:g} mm"
    if limit.quantity == Quantity.TIR and sweep.result.decision:
        at_track = sweep.result.decision.limit_mm
        if abs(at_track - limit.length.mm) > 1e-9:
            written += f", {format_length(at_track)} at the track"
    return (Entry("limit", written), Entry("source of the limit", limit.source or NO_SOURCE))


def _mark(sweep: AnalysedSweep) -> str:
    setup = sweep.result.setup
    whose = "the part's mark" if setup.mark_on is MarkSide.PART else "the arbor's mark"
    if not sweep.capture.angle_source.has_mark:
        return "none: angles count from the start of the recording"
    touched = "" if sweep.capture.marked else "; none touched: where the encoder began to count stands for it"
    if not setup.holes:
        return f"angles from {whose}{touched}"
    first = ", hole 1 at it" if setup.holes[0].deg == 0.0 else ""
    return f"angles from {whose}, {len(setup.holes)} holes{first}{touched}"


def _end_float(part: MeasuredPart) -> str | None:
    events = part.after.capture.events
    seen = [one.event.float_mm for one in events if isinstance(one.event, EndFloatMeasured)]
    newest = seen[-1] if seen else part.end_float_mm
    return None if newest is None else format_length(newest)


def _indicator(sweep: AnalysedSweep, known_of: Registered) -> tuple[Entry, ...]:
    setup, text = sweep.result.setup, sweep.result.setup.text
    error = None
    if setup.gauge_error_mm is not None:
        means = {"limits": "limits of error", "U95": "expanded, k = 2", "u": "standard"}[setup.error_means]
        error = f"+-{format_length(setup.gauge_error_mm)} ({means})"
    step = f"{sweep.step_mm:.6f}".rstrip("0") + " mm" if sweep.step_mm else None
    return (
        Entry("indicator", text.get("gauge_id")),
        Entry("gauge certificate", known_of.gauge_certificate, "gauge certificate"),
        Entry("certificate due", setup.gauge_due.isoformat() if setup.gauge_due else None, "due"),
        Entry("gauge's error", error, "error"),
        Entry("step", step, "step"),
    )


def _encoder(sweep: AnalysedSweep) -> str | None:
    counts = sweep.capture.counts_per_turn
    source = sweep.result.angle_source
    return f"{counts:g} counts a turn" if counts else f"none: angle from {shown(str(source))}"
