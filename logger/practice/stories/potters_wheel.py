"""The potters-wheel job: a 13 in wheel head on a taper with two positions, in inches. Invented numbers.

Head and spindle nearly cancel as found and add up half a turn on; the head is then trued in its own
bearings. Warming up, the reading drifts.
"""

from dataclasses import replace

from logger.practice.bench.gauge import GAUGE_DELAY, GaugeKind
from logger.practice.bench.orders import runout
from logger.practice.bench.plant import Plant
from logger.practice.bench.scenario import Scenario
from logger.practice.bench.stand import Stand

INCH_MM = 25.4
HEAD = runout(0.0488 * INCH_MM, 113.4)
SPINDLE = runout(0.0180 * INCH_MM, 299.3)
LEFT = runout(0.0020 * INCH_MM, 250.0)
"""What truing in its own bearings leaves."""
DRIFT_MM_PER_S = 0.0012 * INCH_MM / 600.0
STEP_MM = 0.00005 * INCH_MM

_JOB = {
    "part": "wheel head",
    "job": "potter's wheel, demo",
    "surface": "face",
    "track_radius": "6.1 in",
    "declared_end": "gauge",
    "sense": "+1",
    "mark": "event",
    "mark_on": "part",
    "index_angle": "0",
    "gauge_id": "practice inch indicator",
    "gauge_type": "plunger",
    "gauge_delay": GAUGE_DELAY,
    "limit": "0.005 in",
    "limit_quantity": "tir",
    "limit_source": "job sheet of the demo",
    "operator": "practice",
}
_GAUGE = GaugeKind(resolution_mm=STEP_MM, high_mm=INCH_MM, preset_mm=3.0)
_ON_TAPER = Plant(HEAD, spindle=SPINDLE, on_lathe=True)
_TRUED = replace(_ON_TAPER, part=LEFT + -SPINDLE)
_STEP_S = 1800

_STORY = (
    Scenario(
        "potters-wheel/as-found",
        "the wheel head in its own bearings: 0.031 in once round, over its limit",
        _ON_TAPER,
        _JOB | {"stage": "as found"},
        gauge=_GAUGE,
    ),
    Scenario(
        "potters-wheel/half-turn",
        "the head turned half round on its taper: head and spindle add up to 0.0667 in",
        replace(_ON_TAPER, index_deg=180.0),
        _JOB | {"stage": "half turn", "mark_on": "arbor", "index_angle": "180"},
        gauge=_GAUGE,
    ),
    Scenario(
        "potters-wheel/as-left",
        "trued in its own bearings: 0.002 in once round, within its limit",
        _TRUED,
        _JOB | {"stage": "as left"},
        gauge=_GAUGE,
    ),
    Scenario(
        "potters-wheel/warm-up",
        "the same while it warms up: the reading drifts 0.0012 in in ten minutes",
        _TRUED,
        _JOB | {"stage": "other"},
        gauge=_GAUGE,
        stand=Stand(drift_mm_per_s=DRIFT_MM_PER_S),
        turns=12,
    ),
)

STORY = tuple(replace(sweep, begins_s=k * _STEP_S) for k, sweep in enumerate(_STORY))
"""Every sweep, in the order of the story."""
