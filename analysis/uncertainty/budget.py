"""The budget of a sweep: which things other than scatter make its TIR uncertain, and by how much.

Each line is a component in mm on the TIR. The random line comes from the fit; these join it in quadrature.
What cannot be seen in one sweep (scale, an encoder off centre) is not here and is said so.
"""

import math
from collections.abc import Mapping

from analysis.numerics import RECTANGULAR, Component

SETTING_OF_GAUGE_DEG = 3.0
"""How well a person sets a gauge's angle by eye (common practice, no source)."""
SET_BY_EYE = "cosine"
"""The line of that angle."""
_WITH_HEIGHT = (SET_BY_EYE, "averaging within a reading", "angle")
FEW_VALUES = 36
"""With fewer values a turn, each may be an average over a part of it that matters."""


def other_lines(
    *,
    tir_mm: float,
    resolution_mm: float,
    values: int,
    closure_mm: float | None,
    gauge_angle_deg: float,
    u_angle_rad: float = 0.0,
    values_per_turn: float = math.inf,
) -> dict[str, Component]:
    """Return the lines beside the random one, by name.

    ``closure_mm`` only where a single turn leaves drift unseen: it adds C / (2 sqrt 3), the standard
    uncertainty of half a linear drift spread over the turn. The gauge's angle, set by eye to
    +-3 degrees, changes the reading by the change of its cosine, taken as rectangular. Angles out by u
    within a turn bend the curve sideways, which leaves max - min alone; put together, turns bent differently
    lose A u^2 of it (second order of A cos(phi + u)).
    """
    # A value lies within half a step of its reading; of so many the mean is n^-1/2 as far off.
    many = max(values, 1)
    lines = {
        "resolution": Component(
            resolution_mm / math.sqrt(12.0 * many),
            distribution=RECTANGULAR,
            sensitivity=1.0 / math.sqrt(many),
        )
    }
    if closure_mm is not None:
        lines["closure"] = Component(abs(closure_mm) / (2.0 * math.sqrt(3.0)), distribution=RECTANGULAR)
    set_to, off = math.radians(abs(gauge_angle_deg)), math.radians(SETTING_OF_GAUGE_DEG)
    change = max(
        abs(math.cos(set_to) - math.cos(set_to + off)), abs(math.cos(set_to) - math.cos(set_to - off))
    )
    lines[SET_BY_EYE] = Component(
        tir_mm / math.cos(set_to) * change / math.sqrt(3.0), distribution=RECTANGULAR
    )
    if values_per_turn < FEW_VALUES:
        # A reading taken over 1 / N of the turn shows sinc(pi / N) of order 1, if the gauge averages at all.
        lost = 1.0 - math.sin(math.pi / values_per_turn) / (math.pi / values_per_turn)
        lines["averaging within a reading"] = Component(
            tir_mm * lost / math.sqrt(3.0), distribution=RECTANGULAR
        )
    if u_angle_rad > 0.0:
        lines["angle"] = Component(tir_mm / 2.0 * u_angle_rad**2)
    return lines


def lines_of_form(lines: Mapping[str, Component], share: float) -> dict[str, Component]:
    """Return the lines as a form has them that is this share of the TIR: some go with the height."""
    return {name: line.times(share, 1.0) if name in _WITH_HEIGHT else line for name, line in lines.items()}


def together_mm(lines: Mapping[str, Component]) -> float:
    """Return the root of the sum of squares of the lines."""
    return math.sqrt(sum(line.u**2 for line in lines.values()))
