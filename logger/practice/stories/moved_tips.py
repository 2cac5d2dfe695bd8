"""Jobs in which it matters where the tip stands: two planes, a reversal, two tips, a carried indicator.

Invented numbers. On a reversal part and tip are both moved to the other side: at the same place of the part
the spindle stands the same, and its motion toward the tip has the other sign.
"""

from logger.practice.bench.motion import Lathe
from logger.practice.bench.orders import Orders, runout
from logger.practice.bench.plant import Plant
from logger.practice.bench.scenario import Scenario
from logger.practice.bench.second_tip import AxialMotion, SecondTip
from logger.practice.stories.usual_setup import setup_of

ROLL_NEAR, ROLL_FAR = runout(0.040, 40.0), runout(0.070, 150.0)
"""Rim of a long roller at planes 0 and 600 mm."""
ROLL_FORM = runout(0.006, 25.0, n=2)
BALL = runout(0.010, 30.0) + runout(0.004, 15.0, n=2) + runout(0.003, 100.0, n=3)
BALL_MOTION = runout(0.006, 200.0) + runout(0.003, 40.0, n=2) + runout(0.002, 10.0, n=3)
"""The spindle's motion toward the first tip, in arbor angle."""
PLATE = runout(0.040, 120.0) + runout(0.010, 70.0, n=2)
PLATE_AXIAL = runout(0.004, 10.0)
PLATE_TILT = runout(0.008, 290.0)
TABLE = runout(0.080, 40.0) + runout(0.012, 70.0, n=3)
TABLE_AXIAL_MOTION = AxialMotion(runout(0.050, 55.0), ball_pass_mm=0.004)
"""End float once per turn: one tip alone takes it for the table's own."""
COUPLING = runout(0.120, 100.0)
SAG = runout(0.050, 270.0)
DISC_THICKNESS = runout(0.016, 70.0) + runout(0.006, 10.0, n=2)
_DISC_FRONT = runout(0.120, 190.0) + runout(0.060, 20.0, n=3)
_STEP_S = 900


def _setup(part: str, surface: str, radius_mm: float, **other: str) -> dict[str, str]:
    return setup_of(part, part, surface, radius_mm) | other


def _roll(plane_mm: int, name: str) -> Scenario:
    share = plane_mm / 600.0
    terms = {n: z * (1.0 - share) for n, z in ROLL_NEAR.terms}
    line = Orders(tuple((n, z + dict(ROLL_FAR.terms)[n] * share) for n, z in terms.items()))
    setup = _setup("long roller", "outside", 60.0, track_plane=f"{plane_mm} mm")
    words = f"the rim of a long roller at plane {plane_mm} mm: {line.tir_first_mm:.3f} mm once round"
    return Scenario(f"long-roller/{name}", words, Plant(line + ROLL_FORM), setup, turns=3)


def _moved(job: str, part: str, surface: str, radius_mm: float, clock: int, plant: Plant) -> Scenario:
    index = {"index_angle": f"{plant.index_deg:g}", "mark_on": "arbor" if plant.index_deg else "part"}
    setup = _setup(
        part, surface, radius_mm, stage="on the lathe", tip_clock=f"{clock}", **index
    )  # fmt: skip
    words = f"the tip at {clock} o'clock, the part's mark at {plant.index_deg:g} deg on the arbor"
    return Scenario(f"{job}/tip-{clock}", words, plant, setup, Lathe(), turns=3)


_HALF = 180.0
_ROUND = (
    Plant(BALL, spindle=BALL_MOTION, on_lathe=True),
    Plant(BALL, spindle=-BALL_MOTION.turned(_HALF), on_lathe=True, index_deg=_HALF),
)
_FACE = (
    Plant(PLATE, spindle=PLATE_AXIAL + PLATE_TILT, on_lathe=True),
    Plant(PLATE, spindle=(PLATE_AXIAL + -PLATE_TILT).turned(_HALF), on_lathe=True, index_deg=_HALF),
)

STORY = (
    *(_roll(plane_mm, name) for plane_mm, name in ((0, "near"), (600, "far"), (300, "middle"))),
    *(_moved("test-ball", "test ball", "outside", 25.0, *at) for at in zip((12, 6), _ROUND, strict=True)),
    *(_moved("faceplate", "faceplate", "face", 120.0, *at) for at in zip((3, 9), _FACE, strict=True)),
    Scenario(
        "turntable/two-tips",
        "a face that runs out 0.08 mm on a shaft that walks 0.05 mm along its axis every turn, two tips",
        Plant(TABLE),
        _setup("turntable", "face", 150.0, limit="0.110 mm", limit_source="job sheet of the demo"),
        turns=4,
        axial_motion=TABLE_AXIAL_MOTION,
        second=SecondTip(Plant(TABLE), apart_deg=180.0),
    ),
    Scenario(
        "bicycle-disc/two-tips",
        "the disc between two opposed tips: its thickness varies, its wobble does not count",
        Plant(_DISC_FRONT),
        _setup("disc", "face", 75.0),
        turns=3,
        axial_motion=AxialMotion(runout(0.030, 120.0), ball_pass_mm=0.003),
        second=SecondTip(Plant(-_DISC_FRONT + DISC_THICKNESS), along=-1),
    ),
    Scenario(
        "coupling/carried",
        "the rim of a coupling, the indicator carried round it: its bracket sags",
        Plant(COUPLING + SAG),
        _setup("coupling", "outside", 40.0, turning="indicator"),
        turns=3,
        carried=True,
    ),
    Scenario(
        "coupling/sag",
        "the sag alone: the same indicator on the same bracket round a bar held still",
        Plant(SAG),
        _setup("bar", "outside", 40.0, turning="indicator"),
        turns=3,
        carried=True,
        begins_s=_STEP_S,
    ),
)
"""Every sweep, job by job."""
