"""The 20-second check of an indicator as it is set up: still, tap, lift, sense, shim.

Each looks at readings taken while a person does one thing, and says in words what that shows. Knows nothing
of turns or limits.
"""

import numpy as np

from analysis.capture import Floats
from analysis.results import Check, CheckState

FEWEST = 5
EVENT_STEPS = 5.0
"""A knock, a lift or a push moves the reading by so many steps of the gauge, and clear of its noise."""
SHIM_OFF = 0.02
"""Share of the shim's thickness within which the scale is believed."""


def check_still(t_s: Floats, reading_mm: Floats, resolution_mm: float) -> Check:
    """Judge readings of a gauge that nobody touches: noise, and drift over the time given; shape (n,)."""
    if len(reading_mm) < FEWEST:
        return _too_few("still", len(reading_mm))
    slope, noise = _line(t_s, reading_mm)
    crept = abs(slope) * float(np.ptp(t_s))
    text = f"noise {noise:.4f} mm, crept {crept:.4f} mm in {float(np.ptp(t_s)):.0f} s"
    if crept > max(3.0 * resolution_mm, 3.0 * noise):
        return Check("still", CheckState.DOUBTFUL, text, "tighten the stand and let everything settle")
    if noise > 5.0 * max(resolution_mm, 1e-6):
        return Check(
            "still", CheckState.DOUBTFUL, text, "look for a loose clamp, or a fan or motor that shakes"
        )
    return Check("still", CheckState.CLEAR, text)


def check_returns(
    name: str, before_mm: Floats, meanwhile_mm: Floats, after_mm: Floats, resolution_mm: float
) -> Check:
    """Judge whether the reading comes back after a tap (play, friction) or a lift of the tip; shape (n,).

    ``meanwhile_mm``: what came between, with the knock or the lift in it; without one nothing is judged.
    """
    if min(len(before_mm), len(after_mm)) < FEWEST:
        return _too_few(name, min(len(before_mm), len(after_mm)))
    if not _moved(before_mm, meanwhile_mm, resolution_mm):
        return Check(name, CheckState.DOUBTFUL, f"no {name} seen", "do it again, so that the reading moves")
    off = float(np.median(after_mm) - np.median(before_mm))
    spread = float(np.std(before_mm))
    text = f"comes back to {off:+.4f} mm"
    if abs(off) <= max(2.0 * resolution_mm, 3.0 * spread):
        return Check(name, CheckState.CLEAR, text)
    do = {
        "tap": "tighten clamps; a plunger that sticks wants cleaning",
        "lift": "let the tip down gently; square it to the surface",
    }[name]
    return Check(name, CheckState.DOUBTFUL, text, do)


def check_sense(before_mm: Floats, pushed_mm: Floats, resolution_mm: float) -> Check:
    """Judge whether pushing the surface or the tip inward reads positive; shape (n,)."""
    if min(len(before_mm), len(pushed_mm)) < 1:
        return _too_few("sense", min(len(before_mm), len(pushed_mm)))
    base = float(np.median(before_mm))
    moved = float(pushed_mm[np.argmax(np.abs(pushed_mm - base))]) - base
    if not _moved(before_mm, pushed_mm, resolution_mm):
        text = f"no push seen, moved only {moved:+.4f} mm"
        return Check("sense", CheckState.DOUBTFUL, text, "push the tip further in")
    if moved > 0:
        return Check("sense", CheckState.CLEAR, f"pushed in reads {moved:+.3f} mm: positive")
    return Check(
        "sense",
        CheckState.REFUSED,
        f"pushed in reads {moved:+.3f} mm: high and low would be exchanged",
        "turn the indicator's direction round, or the channel's sign",
    )


def check_shim(before_mm: Floats, with_shim_mm: Floats, thickness_mm: float) -> Check:
    """Judge scale and unit with a shim of known thickness under the tip; shape (n,)."""
    if min(len(before_mm), len(with_shim_mm)) < 1:
        return _too_few("shim", min(len(before_mm), len(with_shim_mm)))
    seen = abs(float(np.median(with_shim_mm) - np.median(before_mm)))
    ratio = seen / thickness_mm
    text = f"a shim of {thickness_mm:.4f} mm reads {seen:.4f} mm"
    if abs(ratio - 1.0) <= SHIM_OFF:
        return Check("shim", CheckState.CLEAR, text)
    for factor, words in ((25.4, "25.4 times too much"), (1.0 / 25.4, "25.4 times too little")):
        if abs(ratio / factor - 1.0) <= 2.0 * SHIM_OFF:
            return Check(
                "shim", CheckState.REFUSED, f"{text}: {words}", "set in/mm on indicator and board alike"
            )
    return Check(
        "shim", CheckState.REFUSED, f"{text}: {ratio:.3f} of it", "square the tip; look at its angle"
    )


def _moved(before_mm: Floats, meanwhile_mm: Floats, resolution_mm: float) -> bool:
    """Tell whether somebody moved the tip: the reading left its place by some steps, and clear of noise."""
    base, spread = float(np.median(before_mm)), float(np.std(before_mm))
    away = float(np.max(np.abs(meanwhile_mm - base), initial=0.0))
    return away >= EVENT_STEPS * max(resolution_mm, 1e-6, spread)


def _line(t_s: Floats, reading_mm: Floats) -> tuple[float, float]:
    """Return slope (mm/s) and residual standard deviation (mm) of a straight line."""
    t = t_s - t_s.mean()
    sxx = float(t @ t)
    slope = float(t @ reading_mm) / sxx if sxx > 0 else 0.0
    rest = reading_mm - reading_mm.mean() - slope * t
    return slope, float(np.sqrt(float(rest @ rest) / max(1, len(rest) - 2)))


def _too_few(name: str, number: int) -> Check:
    return Check(
        name, CheckState.DOUBTFUL, f"only {number} new readings came", "wait for the indicator to wake"
    )
