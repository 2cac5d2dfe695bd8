"""The gauge and its rig looked at over several sweeps: both ways at two speeds, no index, a creeping stand.

Nothing is wrong with the good ones: put ``late``, ``hysteresis`` or ``lost-counts`` in. Invented numbers.
"""

from analysis.capture.events import MarkTouched
from analysis.setup import MarkSide
from logger.practice.bench.encoder import EncoderKind
from logger.practice.bench.motion import Lathe
from logger.practice.bench.orders import runout
from logger.practice.bench.plant import Bump, Plant
from logger.practice.bench.scenario import Scenario
from logger.practice.bench.stand import Stand
from logger.practice.stories.usual_setup import setup_of

PART = runout(0.100, 50.0) + runout(0.020, 20.0, n=2) + runout(0.010, 75.0, n=3)
SPINDLE = runout(0.020, 130.0)
CHIP = Bump(deg=100.0, width_deg=8.0, height_mm=0.030)
SLOW_RPM, FAST_RPM = 5.2, 12.0
CREPT_MM = 0.012
_STEP_S = 300

_SETUP = setup_of("check ring", "check rig", "face", 80.0)


def _directed(name: str, rpm: float, direction: int, begins_s: int) -> Scenario:
    words = f"turned {'on' if direction > 0 else 'back'} at {rpm:g} turns a minute"
    return Scenario(
        f"check-rig/{name}",
        words,
        Plant(PART),
        _SETUP,
        Lathe(rpm, direction=direction),
        turns=4,
        begins_s=begins_s,
    )


def _chip(index_deg: float, begins_s: int) -> Scenario:
    plant = Plant(PART, spindle=SPINDLE, on_lathe=True, index_deg=index_deg, arbor_bumps=(CHIP,))
    setup = _SETUP | {
        "stage": "on the lathe",
        "mark_on": "arbor" if index_deg else "part",
        "index_angle": f"{index_deg:g}",
    }
    words = f"on an arbor with a narrow chip at 100 deg, the part's mark at {index_deg:g} deg"
    return Scenario(f"check-rig/chip-{index_deg:g}", words, plant, setup, Lathe(), begins_s=begins_s)


def _marked(index_deg: float, begins_s: int) -> Scenario:
    """Return a sweep in which both marks are touched, and nothing is typed of where the part sat."""
    kind = EncoderKind()
    marks = ((MarkSide.ARBOR, 0), (MarkSide.PART, round(index_deg / 360.0 * kind.counts_per_turn)))
    setup = _SETUP | {"stage": "on the lathe", "mark_on": "arbor" if index_deg else "part"}
    words = f"both marks touched: the part's sits at {index_deg:g} deg on the arbor"
    return Scenario(
        f"check-rig/marked-{index_deg:g}",
        words,
        Plant(PART, spindle=SPINDLE, on_lathe=True, index_deg=index_deg),
        setup,
        Lathe(),
        encoder=kind,
        events=tuple((0.1 * k, MarkTouched(on, at)) for k, (on, at) in enumerate(marks)),
        begins_s=begins_s,
    )


STORY = (
    _directed("slow-on", SLOW_RPM, 1, 0),
    _directed("slow-back", SLOW_RPM, -1, _STEP_S),
    _directed("fast-on", FAST_RPM, 1, 2 * _STEP_S),
    _directed("fast-back", FAST_RPM, -1, 3 * _STEP_S),
    Scenario(
        "check-rig/no-index",
        "turned by hand with an encoder that has no index pulse",
        Plant(PART),
        _SETUP,
        encoder=EncoderKind(index=False),
        begins_s=4 * _STEP_S,
    ),
    *(_chip(deg, (6 + k) * _STEP_S) for k, deg in enumerate((0.0, 180.0))),
    *(_marked(deg, (8 + k) * _STEP_S) for k, deg in enumerate((0.0, 120.0))),
    Scenario(
        "check-rig/again",
        "the same five minutes later: the stand has crept by 0.012 mm",
        Plant(PART),
        _SETUP,
        Lathe(SLOW_RPM),
        stand=Stand(offset_mm=CREPT_MM),
        turns=4,
        begins_s=5 * _STEP_S,
    ),
)
"""Every sweep, in the order they are taken."""
