"""The set-up of a sweep: what was declared about part, gauge, encoder and limit, checked and typed.

A set-up is text to text, as a person or a file wrote it. Unknown keys are kept and named; a value off
its list is refused. Knows nothing of readings.
"""

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from analysis.errors import BadInput
from analysis.setup.choices import (
    AngleFrom,
    ButtonUse,
    CountSense,
    DeclaredEnd,
    GaugeType,
    MarkKind,
    MarkSide,
    Quantity,
    Stage,
    Surface,
    Turning,
)
from analysis.units import Length, parse_length, parse_number

CHOICES: dict[str, type[StrEnum]] = {
    "surface": Surface,
    "stage": Stage,
    "declared_end": DeclaredEnd,
    "sense": CountSense,
    "mark": MarkKind,
    "mark_on": MarkSide,
    "button_1": ButtonUse,
    "button_2": ButtonUse,
    "gauge_type": GaugeType,
    "turning": Turning,
    "angle_source": AngleFrom,
    "limit_quantity": Quantity,
}
"""Keys whose value comes from a list."""

DEFAULTS = {
    "surface": "face",
    "stage": "other",
    "declared_end": "gauge",
    "sense": "+1",
    "mark": "event",
    "mark_on": "part",
    "button_1": "next",
    "button_2": "mark",
    "gauge_type": "plunger",
    "turning": "part",
    "angle_source": "auto",
    "limit_quantity": "tir",
    "channel": "0",
}

LENGTH_KEYS = ("track_radius", "limit", "limit_radius", "tip_radius", "track_plane")
NUMBER_KEYS = ("index_angle", "gauge_angle", "counts_per_turn", "u_counts_per_turn", "places")
CLOCK_KEYS = ("tip_clock", "tool_clock", "crayon_at")
TEXT_KEYS = (
    "part",
    "job",
    "gauge_id",
    "gauge_due",
    "preload",
    "torque",
    "limit_source",
    "operator",
    "gauge_table",
)
KNOWN_KEYS = (*CHOICES, *LENGTH_KEYS, *NUMBER_KEYS, *CLOCK_KEYS, *TEXT_KEYS, "channel", "holes")


RIG_PREFIX = "rig."
"""Keys that begin so describe a gauge that is no board of ours; they are checked where rigs are read."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole, keyway or slot in the track, left out of a sweep only when it has a width."""

    deg: float
    """Angle of its middle from the mark, degrees."""
    width_deg: float = 0.0
    """Angular width, degrees; 0 = place only."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit as written in a manual."""

    length: Length
    quantity: Quantity
    radius_mm: float | None = None
    """Radius at which a face limit holds, where that is stated."""
    source: str = ""
    """Where it is written."""


@dataclass(frozen=True)
class Setup:
    """A checked set-up. Lengths in mm, angles in degrees as typed."""

    text: Mapping[str, str] = field(default_factory=dict)
    """Everything as written, unknown keys included."""
    surface: Surface = Surface.FACE
    stage: Stage = Stage.OTHER
    part: str = ""
    declared_end: DeclaredEnd = DeclaredEnd.GAUGE
    sense: int = 1
    """How counts go with the part's angle: as declared, turned round where the indicator is carried round."""
    mark: MarkKind = MarkKind.EVENT
    mark_on: MarkSide = MarkSide.PART
    button_1: ButtonUse = ButtonUse.NEXT
    button_2: ButtonUse = ButtonUse.MARK
    channel: int = 0
    track_radius_mm: float | None = None
    index_angle_deg: float | None = None
    counts_per_turn: float | None = None
    """Overrides the board's own number when set (a learnt, fractional value)."""
    u_counts_per_turn: float = 0.0
    """Standard uncertainty of the learnt value: what a roller that slips leaves open."""
    angle_source: AngleFrom = AngleFrom.AUTO
    """Where the angle comes from; ``auto`` = encoder, else index pulses."""
    places: int | None = None
    """Even places a sweep by stops has; None = as many as there are holes."""
    holes: tuple[Hole, ...] = ()
    gauge_type: GaugeType = GaugeType.PLUNGER
    gauge_angle_deg: float = 0.0
    turning: Turning = Turning.PART
    limit: Limit | None = None
    unknown: tuple[str, ...] = ()
    """Keys that are kept but mean nothing here."""


def setup_crc32(text: Mapping[str, str]) -> str:
    """Return a set-up's checksum: CRC-32 of the sorted ``key=value`` lines, 8 small hex digits."""
    lines = "".join(f"{key}={text[key]}\n" for key in sorted(text) if key != "crc32")
    return f"{zlib.crc32(lines.encode()):08x}"


def parse_setup(text: Mapping[str, str]) -> Setup:
    """Check a set-up and give its values their types.

    Parameters: ``text`` key to value as written. Returns the set-up. Raises BadInput that lists every
    value off its list, length without a unit, and limit that cannot be what it says.
    """
    problems: list[str] = []
    given = {key: str(value).strip() for key, value in text.items() if key != "crc32"}
    if given.get("surface") == "radial":
        given["surface"] = "outside"
    if given.get("sense") in ("1", "+1"):
        given["sense"] = "+1"
    if given.get("limit_quantity") == "":
        del given["limit_quantity"]

    def choice(key: str) -> str:
        value = given.get(key, DEFAULTS[key])
        if value not in list(CHOICES[key]):
            problems.append(f"{key} {value!r} is not one of {', '.join(CHOICES[key])}")
            return DEFAULTS[key]
        return value

    def length(key: str) -> Length | None:
        if not given.get(key):
            return None
        try:
            return parse_length(given[key], key)
        except BadInput as error:
            problems.append(str(error))
            return None

    def number(key: str) -> float | None:
        if not given.get(key):
            return None
        try:
            return parse_number(given[key].removesuffix("deg"), key)
        except BadInput as error:
            problems.append(str(error))
            return None

    chosen = {key: choice(key) for key in CHOICES}
    lengths = {key: length(key) for key in LENGTH_KEYS}
    numbers = {key: number(key) for key in NUMBER_KEYS}
    for key in CLOCK_KEYS:
        if given.get(key) and given[key] not in [str(hour) for hour in range(1, 13)]:
            problems.append(f"{key} {given[key]!r} is not a clock place from 1 to 12")
    channel = given.get("channel", "0")
    if not channel.isdecimal() or int(channel) > 15:
        problems.append(f"channel {channel!r} is not a number from 0 to 15")
        channel = "0"
    for key in ("track_radius", "limit_radius"):
        radius = lengths[key]
        if radius is not None and radius.mm <= 0:
            problems.append(f"{key} {radius.as_written!r} is not above zero")
    counts = numbers["counts_per_turn"]
    if counts is not None and counts <= 0:
        problems.append(f"counts_per_turn {given['counts_per_turn']!r} is not above zero")
    places = numbers["places"]
    if places is not None and (places != int(places) or not 3 <= places <= 360):
        problems.append(f"places {given['places']!r} is not a whole number from 3 to 360")
    holes: tuple[Hole, ...] = ()
    try:
        holes = parse_holes(given.get("holes", ""))
    except BadInput as error:
        problems.append(str(error))
    limit: Limit | None = None
    written = lengths["limit"]
    if written is not None:
        try:
            radius = lengths["limit_radius"]
            limit = make_limit(
                written,
                chosen["limit_quantity"],
                surface=Surface(chosen["surface"]),
                radius_mm=radius.mm if radius else None,
                source=given.get("limit_source", ""),
            )
        except BadInput as error:
            problems.append(str(error))
    if problems:
        raise BadInput("; ".join(problems) + ": correct the set-up")
    track = lengths["track_radius"]
    return Setup(
        text=given,
        surface=Surface(chosen["surface"]),
        stage=Stage(chosen["stage"]),
        part=given.get("part", ""),
        declared_end=DeclaredEnd(chosen["declared_end"]),
        sense=int(chosen["sense"]) * (-1 if chosen["turning"] == Turning.INDICATOR else 1),
        mark=MarkKind(chosen["mark"]),
        mark_on=MarkSide(chosen["mark_on"]),
        button_1=ButtonUse(chosen["button_1"]),
        button_2=ButtonUse(chosen["button_2"]),
        channel=int(channel),
        track_radius_mm=track.mm if track else None,
        index_angle_deg=numbers["index_angle"],
        counts_per_turn=counts,
        u_counts_per_turn=numbers["u_counts_per_turn"] or 0.0,
        angle_source=AngleFrom(chosen["angle_source"]),
        places=int(places) if places is not None else None,
        holes=holes,
        gauge_type=GaugeType(chosen["gauge_type"]),
        gauge_angle_deg=numbers["gauge_angle"] or 0.0,
        turning=Turning(chosen["turning"]),
        limit=limit,
        unknown=tuple(sorted(key for key in set(given) - set(KNOWN_KEYS) if not key.startswith(RIG_PREFIX))),
    )


def make_limit(
    written: Length,
    quantity: str,
    *,
    surface: str = Surface.FACE,
    radius_mm: float | None = None,
    source: str = "",
) -> Limit:
    """Return a limit after checking that it is above zero and that the surface has such a quantity."""
    if quantity not in list(Quantity):
        raise BadInput(f"quantity {str(quantity)!r} is not one of {', '.join(Quantity)}")
    if written.mm <= 0:
        raise BadInput(
            f"limit {written.as_written!r} is not above zero: no part runs true to nothing; write the "
            "maker's own limit"
        )
    if quantity == Quantity.ECCENTRICITY and surface == Surface.FACE:
        raise BadInput(
            "limit_quantity eccentricity on surface face: a face has no eccentricity; use tir for a face, or "
            "surface outside or bore"
        )
    return Limit(written, Quantity(quantity), radius_mm, source)


def parse_holes(text: str) -> tuple[Hole, ...]:
    """Read holes: a count N (equally spaced, hole 1 at the mark), or degrees with optional ``:width``."""
    words = text.replace(",", " ").split()
    if not words:
        return ()
    if len(words) == 1 and words[0].isdecimal():
        count = int(words[0])
        if not 1 <= count <= 360:
            raise BadInput(f"holes {text!r}: the number of holes must be from 1 to 360")
        return tuple(Hole(360.0 * k / count) for k in range(count))
    holes = []
    for word in words:
        place, _, width = word.partition(":")
        hole = Hole(
            parse_number(place, "holes: angle") % 360.0, parse_number(width, "holes: width") if width else 0.0
        )
        if not 0 <= hole.width_deg < 180:
            raise BadInput(f"holes {word!r}: a width must be from 0 to 180 degrees")
        holes.append(hole)
    return tuple(holes)
