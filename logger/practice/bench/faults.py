"""What can be put wrong on purpose: each fault is really done by plant, gauge, encoder, board or link.

Times are in turns done, so that a short sweep of two turns meets every one of them.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

from analysis.errors import BadInput
from logger.practice.bench.motion import Hand, Lathe
from logger.practice.bench.orders import extremes
from logger.practice.bench.plant import Bump
from logger.practice.bench.scenario import Scenario

DRIFT_MM_PER_S = 0.0013
"""About 0.010 mm in a turn of 8 s."""
JUMP_MM = 0.030
KNOCK_MM = 0.060
NICK = Bump(deg=217.0, width_deg=8.0, height_mm=0.030)
LAG_US = 120_000
PLAY_MM = 0.012
MISSED_COUNTS = 12
TIP_OFF_SHARE = 0.12
"""The lowest part of the curve's height that the plunger does not reach."""
FAST_RPM = 100.0
SLOW_PERIOD_US = 100_000


@dataclass(frozen=True)
class Fault:
    """A fault and who should see it."""

    name: str
    words: str
    """What is wrong, one line."""
    check: str
    """Name of the check that should see it; empty where nothing should."""
    put_in: Callable[[Scenario], Scenario]
    """Gives the same scenario with the fault in it."""


def _drop(good: Scenario) -> Scenario:
    return replace(good, link=replace(good.link, bite_one_in=25))


def _restart(good: Scenario) -> Scenario:
    return replace(good, board=replace(good.board, restart_at=1.6))


def _unplug(good: Scenario) -> Scenario:
    return replace(good, link=replace(good.link, unplug_at=1.3))


def _lost_counts(good: Scenario) -> Scenario:
    return replace(good, encoder=replace(good.encoder, missed_counts=MISSED_COUNTS))


def _reverse(good: Scenario) -> Scenario:
    motion = good.motion if isinstance(good.motion, Hand) else Hand()
    return replace(good, motion=replace(motion, reverse_from=1))


def _stuck(good: Scenario) -> Scenario:
    return replace(good, gauge=replace(good.gauge, stuck_at=1.25))


def _tip_off(good: Scenario) -> Scenario:
    curve = extremes(good.plant.orders)
    unreached_mm = curve.low_mm + TIP_OFF_SHARE * curve.tir_mm
    return replace(good, gauge=replace(good.gauge, preset_mm=good.gauge.low_mm - unreached_mm))


def _drift(good: Scenario) -> Scenario:
    return replace(good, stand=replace(good.stand, drift_mm_per_s=DRIFT_MM_PER_S))


def _spike(good: Scenario) -> Scenario:
    return replace(good, stand=replace(good.stand, knock_mm=KNOCK_MM))


def _nick(good: Scenario) -> Scenario:
    second = good.second
    if second is not None and second.along > 0:
        # The same face: the second tip comes over the same nick.
        second = replace(second, plant=replace(second.plant, bumps=(*second.plant.bumps, NICK)))
    return replace(good, plant=replace(good.plant, bumps=(*good.plant.bumps, NICK)), second=second)


def _late(good: Scenario) -> Scenario:
    return replace(good, gauge=replace(good.gauge, lag_us=LAG_US))


def _hysteresis(good: Scenario) -> Scenario:
    # Play shows where ground is passed both ways: the hand goes back in the second turn already.
    motion = replace(good.motion, back_turn=1) if isinstance(good.motion, Hand) else good.motion
    return replace(good, gauge=replace(good.gauge, play_mm=PLAY_MM), motion=motion)


def _unit_pressed(good: Scenario) -> Scenario:
    return replace(good, gauge=replace(good.gauge, inch_at=1.5))


def _zero_pressed(good: Scenario) -> Scenario:
    return replace(good, gauge=replace(good.gauge, zero_at=1.5))


def _stand_jump(good: Scenario) -> Scenario:
    return replace(good, stand=replace(good.stand, jump_mm=JUMP_MM))


def _too_fast(good: Scenario) -> Scenario:
    gauge = replace(good.gauge, period_us=SLOW_PERIOD_US)
    return replace(good, gauge=gauge, motion=Lathe(FAST_RPM, ripple=0.0, wander=0.0))


def _wrap(good: Scenario) -> Scenario:
    turns_to_wrap = (1 << 31) // good.encoder.counts_per_turn
    board = replace(
        good.board, first_turn=turns_to_wrap - 1, first_us=(1 << 32) - 12_000_000, first_seq=0x10000 - 300
    )
    return replace(good, board=board)


FAULTS: dict[str, Fault] = {
    name: Fault(name, words, check, put_in)
    for name, words, check, put_in in (
        ("drop", "bytes go missing on the link", "link", _drop),
        ("restart", "the board restarts in the second turn: another boot, count 0", "link", _restart),
        ("unplug", "the plug is out for 3 s in the second turn", "link", _unplug),
        ("lost-counts", "12 of 2400 counts are missed in the second turn", "counts", _lost_counts),
        ("reverse", "the hand turns the other way from the second turn on", "direction", _reverse),
        ("stuck", "the plunger sticks for a third of the second turn", "stuck", _stuck),
        ("tip-off", "the tip does not reach the lowest places: the plunger is at its stop", "tip", _tip_off),
        ("drift", "the stand creeps by about 0.010 mm a turn", "drift", _drift),
        ("spike", "one knock of 0.060 mm in the second turn", "bumps", _spike),
        ("nick", "a nick's lip of 0.030 mm at 217 degrees on the part", "bumps", _nick),
        ("late", "every reading is 120 ms late", "lag", _late),
        ("hysteresis", "the indicator has 0.012 mm of play", "backward-forward", _hysteresis),
        ("unit-pressed", "somebody presses in/mm on the indicator in the second turn", "unit", _unit_pressed),
        ("zero-pressed", "somebody presses zero on the indicator in the second turn", "unit", _zero_pressed),
        ("stand-jump", "the stand jumps by 0.030 mm in the second turn", "stand", _stand_jump),
        ("too-fast", "100 turns a minute with a gauge of 10 values a second", "gauge-rate", _too_fast),
        ("wrap", "count and clock wrap around during the sweep: nothing is wrong", "", _wrap),
    )
}
"""Every fault by name."""


def fault(name: str) -> Fault:
    """Return the fault of this name; raises BadInput where there is none."""
    if name not in FAULTS:
        raise BadInput(f"no fault {name!r}: expected one of {', '.join(FAULTS)}")
    return FAULTS[name]
