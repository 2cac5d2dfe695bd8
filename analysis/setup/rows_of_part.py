"""Fields of the set-up that tell which part it is, how it is built up and what adjusts it."""

from analysis.setup.choices import Stage, Surface
from analysis.setup.field_type import CompareEffect, FieldKind, SetupField

PART = (
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
        positive=True,
        attribute="track_radius_mm",
        compare=CompareEffect.RESCALED,
        same_mounting=True,
    ),
    SetupField(
        key="track_plane",
        kind=FieldKind.LENGTH,
        help="where along the axis an outside or bore is measured",
        example="40 mm",
        attribute="track_plane_mm",
        compare=CompareEffect.BLOCKS,
        same_mounting=True,
    ),
)
"""Which surface of which part, and where in the job."""
BUILD = (
    SetupField(
        key="holes",
        kind=FieldKind.HOLES,
        help="holes in the track: how many, evenly from the mark, or angle:width of each",
        example="15:8 135:8",
        label="holes",
        hint="6, or 15:8 135:8 (width)",
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
)
"""What the part is made up of, and who put it together."""
SCREWS = (
    SetupField(
        key="screws",
        kind=FieldKind.ANGLES,
        help="screws, jaws or shims: how many, evenly from the mark, or the angle of each",
        example="0 120 240",
        label="screws",
        hint="0 120 240, degrees",
        attribute="screws_deg",
    ),
)
