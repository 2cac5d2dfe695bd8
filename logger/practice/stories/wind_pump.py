"""The wind-pump job: the face of a bull-gear flange, from end float to as left. Invented numbers.

Every sweep of the story in its order, made from four owners: part, seat, spindle, and the burr of the
first mounting.
"""

from dataclasses import replace

from analysis.capture.events import Pulled, Pushed
from logger.practice.bench.gauge import GAUGE_DELAY
from logger.practice.bench.motion import Lathe, PushPull
from logger.practice.bench.orders import runout
from logger.practice.bench.plant import Plant
from logger.practice.bench.scenario import Scenario

PART = runout(0.142, 63.0) + runout(0.018, 20.0, n=2)
SEAT = runout(0.022, 260.0)
SPINDLE = runout(0.030, 150.0)
BURR = runout(0.090, 20.0)
END_FLOAT_MM = 0.21
BALL_PASS_MM = 0.0005

_JOB = {
    "part": "bull-gear flange",
    "job": "wind-pump gearbox, demo",
    "surface": "face",
    "track_radius": "110 mm",
    "declared_end": "gauge",
    "sense": "+1",
    "mark": "event",
    "mark_on": "part",
    "holes": "6",
    "gauge_id": "practice indicator",
    "gauge_type": "plunger",
    "gauge_delay": GAUGE_DELAY,
    "tip_clock": "3",
    "limit": "0.050 mm",
    "limit_quantity": "tir",
    "limit_source": "job sheet of the demo",
    "operator": "practice",
}
_AS_PROMISED = {key: value for key, value in _JOB.items() if key != "gauge_delay"}
"""The bytes of as left are a promise, from before a delay could be declared."""
_SHIMMED = {"preload": "shims set, no end float felt"}
_STEP_S = 1800
"""From one sweep of the story to the next."""

_IN_BEARINGS = Plant(PART, SEAT, SPINDLE, ball_pass_mm=BALL_PASS_MM)
ON_LATHE = Plant(PART, SEAT, SPINDLE, on_lathe=True)
_AFTER = ON_LATHE.cut()
_HALF = 180.0


def lathe_setup(plant: Plant, stage: str) -> dict[str, str]:
    """Return the set-up of a sweep on the lathe; re-indexed, its zero is the arbor's mark."""
    return _JOB | {
        "stage": stage,
        "mark_on": "arbor" if plant.index_deg else "part",
        "index_angle": f"{plant.index_deg:g}",
        "tool_clock": "3",
    }


def _lathe(name: str, words: str, plant: Plant, stage: str) -> Scenario:
    return Scenario(f"wind-pump/{name}", words, plant, lathe_setup(plant, stage), Lathe())


END_FLOAT = Scenario(
    "wind-pump/end-float",
    "the shaft pushed and pulled before anything was set: 0.21 mm of end float",
    replace(_IN_BEARINGS, ball_pass_mm=0.0),
    _JOB | {"stage": "end float", "preload": "as it came"},
    PushPull(END_FLOAT_MM),
    events=((0.15, Pushed()), (0.65, Pulled())),
    float_mm=END_FLOAT_MM,
)
_STORY = (
    END_FLOAT,
    Scenario(
        "wind-pump/as-found",
        "turned by hand in its own bearings, shimmed: 0.142 mm once round, over its limit",
        _IN_BEARINGS,
        _JOB | _SHIMMED | {"stage": "as found"},
    ),
    _lathe(
        "mount-1",
        "first mounting on the lathe, with a burr under the cone: mount it again",
        replace(ON_LATHE, dirt=BURR),
        "on the lathe",
    ),
    _lathe("mount-2", "the cone cleaned: mounting good enough", ON_LATHE, "on the lathe"),
    _lathe(
        "half-turn-before",
        "re-indexed by half a turn before the cut: same TIR, another angle, so not all of it is the part's",
        replace(ON_LATHE, index_deg=_HALF),
        "half turn",
    ),
    _lathe(
        "after-cut",
        "after the cut, on the cutting mount: reads nothing, and is no evidence of the result",
        _AFTER,
        "after cut",
    ),
    _lathe(
        "half-turn-after",
        "re-indexed by half a turn after the cut: twice the spindle's share",
        replace(_AFTER, index_deg=_HALF),
        "half turn",
    ),
    Scenario(
        "wind-pump/as-left",
        "back in its own bearings: 0.0305 mm once round, within its limit",
        replace(_AFTER, on_lathe=False, ball_pass_mm=BALL_PASS_MM),
        _AS_PROMISED | _SHIMMED | {"stage": "as left"},
    ),
)

STORY = tuple(replace(sweep, begins_s=k * _STEP_S) for k, sweep in enumerate(_STORY))
"""Every sweep, in the order of the story."""
