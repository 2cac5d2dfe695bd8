"""Every field of the set-up: its key, how it is written, and everything that is ever asked of it.

A new field is one row here; parser, form, listings and comparison are derived from the rows.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

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


class FieldKind(StrEnum):
    """How a value is written."""

    CHOICE = "choice"
    TEXT = "text"
    LENGTH = "length"
    NUMBER = "number"
    ANGLE = "angle"
    TORQUE = "torque"
    WHOLE = "whole number"
    CHANNEL = "channel"
    CLOCK = "clock place"
    HOLES = "holes"
    ANGLES = "angles"
    DATE = "date"
    PAIRS = "pairs"


class KeptWith(StrEnum):
    """Under which name a saved set-up keeps a field: the board's (bench) or the part's."""

    BENCH = "bench"
    PART = "part"


class CompareEffect(StrEnum):
    """What a difference in this field does to a comparison of before and after."""

    BLOCKS = "blocks"
    RESCALED = "rescaled"
    NOTED = "noted"


class FieldGroup(StrEnum):
    """Fields that go together from one sweep to the next."""

    LIMIT = "limit"
    MARK_TOUCHED = "mark touched"


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupField:
    """One field of the set-up."""

    key: str
    """Promised: as it stands in files, ``--set``, recordings and the store."""
    kind: FieldKind
    help: str
    """What it is, in one line."""
    example: str
    """A value as a person types it."""
    label: str = ""
    """Its name on the form of the screen; empty = not asked for there."""
    hint: str = ""
    """What the form says while it is typed."""
    default: str = ""
    """What holds where nothing is written."""
    choices: type[StrEnum] | None = None
    spellings: Mapping[str, str] | None = None
    """Other ways to write a choice."""
    unit: str = ""
    """Of the value once read: mm, deg, counts."""
    positive: bool = False
    """True for a length or number that has to be above zero."""
    least: float | None = None
    most: float | None = None
    """Ends of a number that is taken, where it has any."""
    whole: range | None = None
    """Whole numbers that are taken, where it is one."""
    attribute: str = ""
    """Its name in ``Setup``; empty = read from the text by who needs it."""
    kept_with: KeptWith = KeptWith.PART
    group: FieldGroup | None = None
    compare: CompareEffect | None = None
    """None = a difference does nothing to a comparison."""
    same_mounting: bool = False
    """True where sweeps of one mounting agree in it."""
    of_one_sweep: bool = False
    """True where a practice scenario says it anew for each sweep of a job."""

    @property
    def words(self) -> tuple[str, ...]:
        """The values it may have, as written; empty where it is typed."""
        return tuple(word.value for word in self.choices or ())

    def written_in(self, text: Mapping[str, str]) -> str:
        """Return its value as written in a set-up, or its default."""
        return text.get(self.key, self.default)

    def next_choice(self, text: Mapping[str, str], step: int = 1) -> str:
        """Return the choice after (or before) the one in a set-up."""
        written = self.written_in(text)
        at = self.words.index(written) if written in self.words else 0
        return self.words[(at + step) % len(self.words)]


FIELDS = (
    SetupField(
        key="part",
        kind=FieldKind.TEXT,
        help="what is measured; saved set-ups go by it",
        example="bull-gear flange",
        label="part",
        hint="what is measured",
        attribute="part",
        compare=CompareEffect.BLOCKS,
        same_mounting=True,
    ),
    SetupField(
        key="job",
        kind=FieldKind.TEXT,
        help="job number",
        example="4711",
        label="job number",
    ),
    SetupField(
        key="surface",
        kind=FieldKind.CHOICE,
        help="which surface the tip is on",
        example="outside",
        label="surface",
        hint="face, outside or bore",
        default="face",
        choices=Surface,
        spellings={"radial": "outside"},
        attribute="surface",
        compare=CompareEffect.BLOCKS,
        same_mounting=True,
    ),
    SetupField(
        key="stage",
        kind=FieldKind.CHOICE,
        help="where in the job the sweep stands",
        example="as found",
        label="stage",
        default="other",
        choices=Stage,
        attribute="stage",
        compare=CompareEffect.BLOCKS,
        same_mounting=True,
        of_one_sweep=True,
    ),
    SetupField(
        key="track_radius",
        kind=FieldKind.LENGTH,
        help="radius of the track",
        example="110 mm",
        label="track radius",
        hint="110 mm",
        unit="mm",
        positive=True,
        attribute="track_radius_mm",
        compare=CompareEffect.RESCALED,
        same_mounting=True,
    ),
    SetupField(
        key="track_plane",
        kind=FieldKind.LENGTH,
        help="where along the axis an outside or bore is swept",
        example="40 mm",
        unit="mm",
        attribute="track_plane_mm",
        compare=CompareEffect.BLOCKS,
        same_mounting=True,
    ),
    SetupField(
        key="limit",
        kind=FieldKind.LENGTH,
        help="limit as the manual writes it",
        example="0.050 mm",
        label="limit as written",
        hint="0.050 mm, 3 thou",
        unit="mm",
        group=FieldGroup.LIMIT,
    ),
    SetupField(
        key="limit_quantity",
        kind=FieldKind.CHOICE,
        help="what the limit is of",
        example="eccentricity",
        label="limit is of",
        default="tir",
        choices=Quantity,
        group=FieldGroup.LIMIT,
        compare=CompareEffect.BLOCKS,
    ),
    SetupField(
        key="limit_radius",
        kind=FieldKind.LENGTH,
        help="radius at which the limit of a face holds, if stated",
        example="150 mm",
        label="limit's radius",
        hint="face at another radius",
        unit="mm",
        positive=True,
        group=FieldGroup.LIMIT,
    ),
    SetupField(
        key="turns_planned",
        kind=FieldKind.WHOLE,
        help="full turns planned beforehand: looked at after so many, twice and three times as many",
        example="3",
        label="turns planned",
        hint="before the first turn",
        whole=range(1, 100_001),
        attribute="turns_planned",
    ),
    SetupField(
        key="looks_before",
        kind=FieldKind.WHOLE,
        help="earlier recordings of this part, stage and limit, counted when a recording begins",
        example="1",
        whole=range(100_001),
        attribute="looks_before",
        of_one_sweep=True,
    ),
    SetupField(
        key="limit_source",
        kind=FieldKind.TEXT,
        help="where the limit is written",
        example="manual p. 12",
        label="limit stands in",
        hint="manual and page",
        group=FieldGroup.LIMIT,
    ),
    SetupField(
        key="holes",
        kind=FieldKind.HOLES,
        help="holes in the track: how many, evenly from the mark, or angle:width of each",
        example="15:8 135:8",
        label="holes",
        hint="6, or 15:8 135:8 (width)",
        unit="deg",
        attribute="holes",
    ),
    SetupField(
        key="preload",
        kind=FieldKind.TEXT,
        help="how bearings are preloaded: shims, nut",
        example="shims 0.30",
        label="preload",
        hint="shims, nut",
        compare=CompareEffect.BLOCKS,
        same_mounting=True,
        of_one_sweep=True,
    ),
    SetupField(
        key="torque",
        kind=FieldKind.TORQUE,
        help="what bolts or nut were tightened with",
        example="60 Nm",
        compare=CompareEffect.NOTED,
    ),
    SetupField(
        key="operator",
        kind=FieldKind.TEXT,
        help="who measured",
        example="night shift",
        label="operator",
        compare=CompareEffect.NOTED,
    ),
    SetupField(
        key="declared_end",
        kind=FieldKind.CHOICE,
        help="the end from which clockwise is told",
        example="far",
        label="seen from",
        hint="the end clockwise is told from",
        default="gauge",
        choices=DeclaredEnd,
        attribute="declared_end",
        kept_with=KeptWith.BENCH,
        compare=CompareEffect.RESCALED,
        same_mounting=True,
    ),
    SetupField(
        key="sense",
        kind=FieldKind.CHOICE,
        help="+1 where counts rise clockwise, -1 where they fall",
        example="-1",
        label="sense",
        hint="+1: counts rise clockwise",
        default="+1",
        choices=CountSense,
        spellings={"1": "+1"},
        attribute="sense",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="mark",
        kind=FieldKind.CHOICE,
        help="what tells the mark: an event when it is touched, or the index pulse",
        example="index",
        label="mark",
        hint="touched, or the index pulse",
        default="event",
        choices=MarkKind,
        attribute="mark",
        kept_with=KeptWith.BENCH,
        of_one_sweep=True,
    ),
    SetupField(
        key="mark_on",
        kind=FieldKind.CHOICE,
        help="whose mark angles count from",
        example="arbor",
        label="mark is on",
        default="part",
        choices=MarkSide,
        attribute="mark_on",
        group=FieldGroup.MARK_TOUCHED,
        same_mounting=True,
        of_one_sweep=True,
    ),
    SetupField(
        key="index_angle",
        kind=FieldKind.ANGLE,
        help="angle of the part's mark from the arbor's, 0 to 360",
        example="180",
        unit="deg",
        attribute="index_angle_deg",
        group=FieldGroup.MARK_TOUCHED,
        of_one_sweep=True,
    ),
    SetupField(
        key="button_1",
        kind=FieldKind.CHOICE,
        help="what the board's button 1 does",
        example="mark",
        label="board's button 1",
        default="next",
        choices=ButtonUse,
        attribute="button_1",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="button_2",
        kind=FieldKind.CHOICE,
        help="what the board's button 2 does",
        example="next",
        default="mark",
        choices=ButtonUse,
        attribute="button_2",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="gauge_type",
        kind=FieldKind.CHOICE,
        help="how the indicator's tip moves",
        example="lever",
        label="gauge",
        default="plunger",
        choices=GaugeType,
        attribute="gauge_type",
        kept_with=KeptWith.BENCH,
        compare=CompareEffect.NOTED,
    ),
    SetupField(
        key="gauge_angle",
        kind=FieldKind.NUMBER,
        help="how far the tip's motion is off the direction measured, 0 to 60",
        example="15",
        label="gauge angle",
        hint="degrees off, 0 to 60",
        unit="deg",
        least=0.0,
        most=60.0,
        attribute="gauge_angle_deg",
        kept_with=KeptWith.BENCH,
        compare=CompareEffect.RESCALED,
    ),
    SetupField(
        key="gauge_id",
        kind=FieldKind.TEXT,
        help="number of the indicator",
        example="G-017",
        label="gauge's number",
        kept_with=KeptWith.BENCH,
        compare=CompareEffect.NOTED,
        same_mounting=True,
    ),
    SetupField(
        key="gauge_due",
        kind=FieldKind.DATE,
        help="when its certificate is due",
        example="2026-03-31",
        label="certificate due",
        hint="2026-03-31",
        attribute="gauge_due",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="gauge_table",
        kind=FieldKind.PAIRS,
        help="its certificate, reading:error",
        example="0:0 1:+0.001 2:-0.002 mm",
        label="certificate",
        hint="0:0 1:+0.001 2:-0.002 mm",
        unit="mm",
        attribute="gauge_table_mm",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="tip_clock",
        kind=FieldKind.CLOCK,
        help="clock place of the tip, 1 to 12",
        example="9",
        label="tip stands at",
        hint="clock place, 1 to 12",
        whole=range(1, 13),
        attribute="tip_clock",
        kept_with=KeptWith.BENCH,
        same_mounting=True,
        of_one_sweep=True,
    ),
    SetupField(
        key="tool_clock",
        kind=FieldKind.CLOCK,
        help="clock place of the lathe's tool, 1 to 12",
        example="9",
        whole=range(1, 13),
        attribute="tool_clock",
        of_one_sweep=True,
    ),
    SetupField(
        key="crayon_at",
        kind=FieldKind.CLOCK,
        help="clock place at which a crayon is held, 1 to 12",
        example="12",
        label="crayon at",
        hint="clock place, 1 to 12",
        whole=range(1, 13),
        attribute="crayon_at",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="tip_radius",
        kind=FieldKind.LENGTH,
        help="radius of the indicator's tip",
        example="1.5 mm",
        unit="mm",
        positive=True,
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="screws",
        kind=FieldKind.ANGLES,
        help="screws, jaws or shims: how many, evenly from the mark, or the angle of each",
        example="0 120 240",
        label="screws",
        hint="0 120 240, degrees",
        unit="deg",
        attribute="screws_deg",
    ),
    SetupField(
        key="angle_source",
        kind=FieldKind.CHOICE,
        help="where the angle comes from; auto is the encoder, else index pulses",
        example="stops",
        label="angle from",
        hint="auto: encoder, else index",
        default="auto",
        choices=AngleFrom,
        attribute="angle_source",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="places",
        kind=FieldKind.WHOLE,
        help="even places of a sweep by stops, 3 to 360; as many as holes where nothing is said",
        example="12",
        label="places",
        hint="how many, with stops",
        whole=range(3, 361),
        attribute="places",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="counts_per_turn",
        kind=FieldKind.NUMBER,
        help="the encoder's counts a turn, a fraction too; as the board says where nothing is said",
        example="2411.75",
        label="counts a turn",
        hint="empty: as the board says",
        unit="counts",
        positive=True,
        attribute="counts_per_turn",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="u_counts_per_turn",
        kind=FieldKind.NUMBER,
        help="standard uncertainty of the counts a turn, as learn-encoder finds it",
        example="0.25",
        unit="counts",
        least=0.0,
        attribute="u_counts_per_turn",
        kept_with=KeptWith.BENCH,
    ),
    SetupField(
        key="turning",
        kind=FieldKind.CHOICE,
        help="what goes round: the part, or the indicator round it",
        example="indicator",
        default="part",
        choices=Turning,
        attribute="turning",
        kept_with=KeptWith.BENCH,
        compare=CompareEffect.NOTED,
        same_mounting=True,
    ),
    SetupField(
        key="channel",
        kind=FieldKind.CHANNEL,
        help="channel of the board to measure with, 0 to 15",
        example="1",
        default="0",
        whole=range(16),
        attribute="channel",
        kept_with=KeptWith.BENCH,
    ),
)
BY_KEY = {field.key: field for field in FIELDS}
BENCH_KEYS = tuple(field.key for field in FIELDS if field.kept_with is KeptWith.BENCH)
"""What stays with the bench; everything else goes with the part."""
LIMIT_KEYS = tuple(field.key for field in FIELDS if field.group is FieldGroup.LIMIT)
MARK_KEYS = tuple(field.key for field in FIELDS if field.group is FieldGroup.MARK_TOUCHED)
"""What the touch of a mark makes void or tells anew."""
SAME_MOUNTING_KEYS = tuple(field.key for field in FIELDS if field.same_mounting)
"""In which sweeps have to agree to be of one mounting."""
KEYS_OF_ONE_SWEEP = tuple(field.key for field in FIELDS if field.of_one_sweep)
"""What a practice scenario says of its own sweep, whatever a person typed at the one before."""
FORM_FIELDS = tuple(field for field in FIELDS if field.label)
"""What the form on the screen asks for, in this order."""
RIG_PREFIX = "rig."
"""Keys that begin so describe a gauge that is no board of ours; their rows stand where rigs are read."""
