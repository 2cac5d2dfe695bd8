"""The telescope-worm job: a 150 mm worm wheel off its centre, a slow lever indicator, three screws. Invented.

The indicator gives three readings a second and its lever stands at 15 degrees, so that it over-reads.
"""

from dataclasses import replace

from logger.practice.bench.gauge import GAUGE_DELAY, GaugeKind
from logger.practice.bench.motion import Lathe
from logger.practice.bench.orders import runout
from logger.practice.bench.plant import Plant
from logger.practice.bench.scenario import Scenario

ECCENTRICITY_MM = 0.012
HIGH_SIDE_DEG = 77.0
LEFT_MM = 0.0006
"""Eccentricity that the screws leave."""
LEVER_DEG = 15.0
FOUND = runout(2.0 * ECCENTRICITY_MM, HIGH_SIDE_DEG)
LEFT = runout(2.0 * LEFT_MM, 200.0)

_JOB = {
    "part": "worm wheel",
    "job": "telescope worm, demo",
    "surface": "outside",
    "track_radius": "75 mm",
    "declared_end": "gauge",
    "sense": "+1",
    "mark": "event",
    "mark_on": "part",
    "gauge_id": "practice lever indicator",
    "gauge_type": "lever",
    "gauge_delay": GAUGE_DELAY,
    "gauge_angle": f"{LEVER_DEG:g}",
    "limit": "0.010 mm",
    "limit_quantity": "tir",
    "limit_source": "job sheet of the demo",
    "operator": "practice",
}
_SLOW = GaugeKind(period_us=333_333, lever_deg=LEVER_DEG, noise_mm=0.0005, high_mm=0.8, preset_mm=0.4)
_DRIVE = Lathe(rpm=5.15)
"""Its own worm turns it, evenly; still too fast for high orders with three readings a second."""
_TURNS = 6

_STORY = (
    Scenario(
        "telescope-worm/as-found",
        "the rim of the wheel: 0.012 mm off its centre, over its limit",
        Plant(FOUND),
        _JOB | {"stage": "as found"},
        _DRIVE,
        gauge=_SLOW,
        turns=_TURNS,
    ),
    Scenario(
        "telescope-worm/as-left",
        "the screws moved: within its limit",
        Plant(LEFT),
        _JOB | {"stage": "as left"},
        _DRIVE,
        gauge=_SLOW,
        turns=_TURNS,
    ),
)

STORY = tuple(replace(sweep, begins_s=k * 3600) for k, sweep in enumerate(_STORY))
"""Every sweep, in the order of the story."""
