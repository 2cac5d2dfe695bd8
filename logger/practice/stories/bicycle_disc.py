"""The bicycle-disc job: a brake disc bolted to a six-bolt hub, in one of six positions. Invented numbers.

The hub's face is measured near its bolts and scales to the disc's track; assembled, the zero is the hub's
mark.
"""

from logger.practice.bench.gauge import GAUGE_DELAY
from logger.practice.bench.orders import Orders, runout
from logger.practice.bench.plant import Plant
from logger.practice.bench.scenario import Scenario

HUB_RADIUS_MM = 22.0
DISC_RADIUS_MM = 75.0
HUB = runout(0.050, 35.0)
"""Face of the hub at its own radius."""
DISC = runout(0.120, 190.0) + runout(0.060, 20.0, n=3)
HOLES = 6

_JOB = {
    "job": "bicycle disc, demo",
    "surface": "face",
    "declared_end": "gauge",
    "sense": "+1",
    "mark": "event",
    "holes": str(HOLES),
    "gauge_id": "practice indicator",
    "gauge_type": "plunger",
    "gauge_delay": GAUGE_DELAY,
    "stage": "other",
    "operator": "practice",
}
_STEP_S = 900


def scaled(orders: Orders, factor: float) -> Orders:
    """Return the same plane at another radius."""
    return Orders(tuple((n, z * factor) for n, z in orders.terms))


HUB_AT_DISC = scaled(HUB, DISC_RADIUS_MM / HUB_RADIUS_MM)


def _assembled(k: int) -> Scenario:
    deg = 360.0 * k / HOLES
    setup = _JOB | {
        "part": "disc on its hub",
        "track_radius": f"{DISC_RADIUS_MM:g} mm",
        "mark_on": "arbor",
        "index_angle": f"{deg:g}",
    }
    plant = Plant(DISC, spindle=HUB_AT_DISC, on_lathe=True, index_deg=deg)
    words = f"the disc bolted on with its mark {deg:g} degrees past the hub's"
    return Scenario(f"bicycle-disc/assembled-{deg:g}", words, plant, setup, begins_s=(k + 2) * _STEP_S)


STORY = (
    Scenario(
        "bicycle-disc/hub",
        "the hub's bare face near its bolts: 0.050 mm at radius 22 mm",
        Plant(HUB),
        _JOB | {"part": "hub", "track_radius": f"{HUB_RADIUS_MM:g} mm", "mark_on": "part"},
    ),
    Scenario(
        "bicycle-disc/disc",
        "the disc alone on a true arbor: bent once and three times round",
        Plant(DISC),
        _JOB | {"part": "disc", "track_radius": f"{DISC_RADIUS_MM:g} mm", "mark_on": "part"},
        begins_s=_STEP_S,
    ),
    *(_assembled(k) for k in range(HOLES)),
)
"""Every sweep, in the order of the story."""
