"""The 20-second check of an indicator as it is set up: still, tap, lift, sense, shim.

Each looks at readings taken while a person does one thing, and says in words what that shows. Knows nothing
of turns or limits.
"""

from dataclasses import dataclass

import numpy as np

from analysis.capture import Floats

FEWEST = 5
SHIM_OFF = 0.02
"""Share of the shim's thickness within which the scale is believed."""


@dataclass(frozen=True, slots=True)
class SetupCheck:
    """One part of the check."""

    name: str
    """``still``, ``tap``, ``lift``, ``sense`` or ``shim``."""
    state: str
    """``clear``, ``doubtful`` or ``refused``."""
    text: str
    do: str = ""


def check_still(t_s: Floats, reading_mm: Floats, resolution_mm: float) -> SetupCheck:
    """Judge readings of a gauge that nobody touches: noise, and drift over the time given; shape (n,)."""
    if len(reading_mm) < FEWEST:
        return _too_few("still", len(reading_mm))
    slope, noise = _line(t_s, reading_mm)
    crept = abs(slope) * float(np.ptp(t_s))
    text = f"noise {noise:.4f} mm, crept {crept:.4f} mm in {float(np.ptp(t_s)):.0f} s"
    if crept > max(3.0 * resolution_mm, 3.0 * noise):
        return SetupCheck("still", "doubtful", text, "tighten the stand and let everything settle")
    if noise > 5.0 * max(resolution_mm, 1e-6):
        return SetupCheck("still", "doubtful", text, "look for a loose clamp, or a fan or motor that shakes")
    return SetupCheck("still", "clear", text)


def check_returns(name: str, before_mm: Floats, after_mm: Floats, resolution_mm: float) -> SetupCheck:
    """Judge whether the reading comes back after a tap (play, friction) or a lift of the tip; shape (n,)."""
    if min(len(before_mm), len(after_mm)) < FEWEST:
        return _too_few(name, min(len(before_mm), len(after_mm)))
    off = float(np.median(after_mm) - np.median(before_mm))
    spread = float(np.std(before_mm))
    text = f"comes back to {off:+.4f} mm"
    if abs(off) <= max(2.0 * resolution_mm, 3.0 * spread):
        return SetupCheck(name, "clear", text)
    do = {
        "tap": "tighten clamps; a plunger that sticks wants cleaning",
        "lift": "let the tip down gently; square it to the surface",
    }[name]
    return SetupCheck(name, "doubtful", text, do)


def check_sense(before_mm: Floats, pushed_mm: Floats, resolution_mm: float) -> SetupCheck:
    """Judge whether pushing the surface or the tip inward reads positive; shape (n,)."""
    if min(len(before_mm), len(pushed_mm)) < 1:
        return _too_few("sense", min(len(before_mm), len(pushed_mm)))
    base = float(np.median(before_mm))
    way = float(pushed_mm[np.argmax(np.abs(pushed_mm - base))]) - base
    if abs(way) < 5.0 * max(resolution_mm, 1e-6):
        return SetupCheck("sense", "doubtful", f"moved only {way:+.4f} mm", "push the tip further in")
    if way > 0:
        return SetupCheck("sense", "clear", f"pushed in reads {way:+.3f} mm: positive")
    return SetupCheck(
        "sense",
        "refused",
        f"pushed in reads {way:+.3f} mm: high and low would be exchanged",
        "turn the indicator's direction round, or the channel's sign",
    )


def check_shim(before_mm: Floats, with_shim_mm: Floats, thickness_mm: float) -> SetupCheck:
    """Judge scale and unit with a shim of known thickness under the tip; shape (n,)."""
    if min(len(before_mm), len(with_shim_mm)) < 1:
        return _too_few("shim", min(len(before_mm), len(with_shim_mm)))
    seen = abs(float(np.median(with_shim_mm) - np.median(before_mm)))
    ratio = seen / thickness_mm
    text = f"a shim of {thickness_mm:.4f} mm reads {seen:.4f} mm"
    if abs(ratio - 1.0) <= SHIM_OFF:
        return SetupCheck("shim", "clear", text)
    for factor, words in ((25.4, "25.4 times too much"), (1.0 / 25.4, "25.4 times too little")):
        if abs(ratio / factor - 1.0) <= 2.0 * SHIM_OFF:
            return SetupCheck("shim", "refused", f"{text}: {words}", "set in/mm on indicator and board alike")
    return SetupCheck("shim", "refused", f"{text}: {ratio:.3f} of it", "square the tip; look at its angle")


def _line(t_s: Floats, reading_mm: Floats) -> tuple[float, float]:
    """Return slope (mm/s) and residual standard deviation (mm) of a straight line."""
    t = t_s - t_s.mean()
    sxx = float(t @ t)
    slope = float(t @ reading_mm) / sxx if sxx > 0 else 0.0
    rest = reading_mm - reading_mm.mean() - slope * t
    return slope, float(np.sqrt(float(rest @ rest) / max(1, len(rest) - 2)))


def _too_few(name: str, number: int) -> SetupCheck:
    return SetupCheck(name, "doubtful", f"only {number} new readings came", "wait for the indicator to wake")
