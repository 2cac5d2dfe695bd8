"""How late a gauge is, learnt from sweeps of one part turned both ways and at two speeds."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.diagnosis import LearntLag, Phase, learn_lag
from analysis.errors import BadInput
from analysis.units import format_count
from logger.inputs import AnalysedSweep, one_part, one_surface
from logger.studies.related_sweeps import as_counted

FEWEST = 3


@dataclass(frozen=True)
class LagStudy:
    """What the sweeps tell of their gauge."""

    sweeps: tuple[AnalysedSweep, ...]
    phases: tuple[Phase, ...]
    found: LearntLag

    @property
    def limits_s(self) -> float:
        """Half-width of the limits that declare the lag with its standard uncertainty, as a rectangle."""
        return math.sqrt(3.0) * self.found.lag.u


def study_lag(sweeps: Sequence[AnalysedSweep]) -> LagStudy:
    """Return lag and play; raises BadInput for sweeps that do not belong together or do not tell."""
    if len(sweeps) < FEWEST:
        raise BadInput(
            f"{format_count(len(sweeps), 'sweep')}: give one forward, one backward and one at "
            "another speed, of one part"
        )
    one_part(sweeps)
    one_surface(sweeps)
    marks = {one.result.setup.mark_on for one in sweeps}
    seats = {round(one.index_deg or 0.0, 1) for one in sweeps}
    if len(marks) > 1 or len(seats) > 1:
        raise BadInput("the sweeps count from different marks or places: leave part and mark as they are")
    phases = tuple(_phase(one) for one in sweeps)
    return LagStudy(tuple(sweeps), phases, learn_lag(phases))


def _phase(one: AnalysedSweep) -> Phase:
    one.from_mark()  # refuses a sweep without one
    turns = one.result.turns
    speed = sum(turn.direction * turn.rpm for turn in turns) / len(turns) * 2.0 * math.pi / 60.0
    if speed == 0.0:
        raise BadInput(f"{one.name}: no speed is known of it: turn it with an encoder or an index mark")
    vectors = as_counted(one)
    first = complex(vectors.z_mm[0])
    if not abs(first) > 0.0:
        raise BadInput(f"{one.name}: a curve without order 1 has no direction: use a part that runs out")
    return Phase(math.atan2(first.imag, first.real), float(vectors.u_mm[0]) / abs(first), speed, abs(first))
