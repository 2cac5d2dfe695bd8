"""Every check of a sweep, one entry each, in the order of the work: the order in which they are printed.

A refused check leaves every decision undecided. DEVELOPERS.md has the entries as a table.
"""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from enum import StrEnum

from analysis.capture import AngleSource
from analysis.checks.evidence import Evidence
from analysis.checks.finding import Bound, Finding, Thresholds
from analysis.checks.indicator import (
    look_at_backward_forward,
    look_at_gauge_register,
    look_at_lag,
    look_at_stuck,
    look_at_tip,
    look_at_unit,
)
from analysis.checks.link_and_angle import look_at_counts, look_at_link, look_at_mark
from analysis.checks.recorded_checks import with_recorded_checks
from analysis.checks.sampling import (
    look_at_coverage,
    look_at_direction,
    look_at_gauge_rate,
    look_at_speed,
    look_at_turns,
)
from analysis.checks.stability import (
    look_at_bumps,
    look_at_closure,
    look_at_drift,
    look_at_end_float,
    look_at_lobes,
    look_at_repeat,
    look_at_stand,
)
from analysis.results import Check, CheckState


class CheckId(StrEnum):
    """The name of a check, as printed, recorded and stored."""

    LINK = "link"
    MARK = "mark"
    COUNTS = "counts"
    DIRECTION = "direction"
    COVERAGE = "coverage"
    TURNS = "turns"
    SPEED = "speed"
    GAUGE_RATE = "gauge-rate"
    TIP = "tip"
    STUCK = "stuck"
    UNIT = "unit"
    STAND = "stand"
    CLOSURE = "closure"
    DRIFT = "drift"
    REPEAT = "repeat"
    BUMPS = "bumps"
    LOBES = "lobes"
    LAG = "lag"
    BACKWARD_FORWARD = "backward-forward"
    END_FLOAT = "end-float"
    GAUGE_REGISTER = "gauge-register"


@dataclass(frozen=True)
class CheckSpec:
    """One check: what it looks at, from where on it is doubtful or refused, and for which sweeps it is."""

    id: CheckId
    looks_at: str
    look: Callable[[Evidence, Thresholds], Finding | None]
    """Gives None where this sweep does not allow the check."""
    thresholds: Thresholds
    explained_by: tuple[CheckId, ...] = ()
    """A refusal of one of these takes this one back to doubtful and is named; the first of them counts."""
    trace_of: tuple[CheckId, ...] = ()
    """Where one of these is in doubt, what this check doubts may be its trace: it is named first."""
    not_for: frozenset[AngleSource] = frozenset()
    """Sources of the angle with which there is nothing to look at."""
    few_places: bool = False
    """True: also where only a few places were read one by one."""
    raised_by: str = ""
    """A fault of the virtual bench that this check sees; empty where none is for it alone."""

    def applies_to(self, evidence: Evidence) -> bool:
        """Return whether this sweep is looked at; where it is not, no evidence is made."""
        return (self.few_places or not evidence.few_places) and (
            evidence.capture.angle_source not in self.not_for
        )


_BUTTONS = (CheckId.UNIT, CheckId.STAND)
_GAUGE = (*_BUTTONS, CheckId.TIP, CheckId.STUCK)
_LATE_OR_PLAY = (CheckId.LAG, CheckId.BACKWARD_FORWARD)
"""Both make marks that look like a knock or a wave: they are asked before a knock is believed."""
_OF_LIMIT = 0.1, 0.3
"""Shares of the limit at the track, or of the fitted TIR where no limit was given."""

LAG_DEG = 5.0
"""By so much a lag may turn the part before it is doubted."""

CHECKS = (
    CheckSpec(
        CheckId.LINK,
        "frames, readings, stalls and restarts",
        look_at_link,
        Thresholds(
            Bound("frames lost, readings dropped, a stall or an unplugged cable"),
            Bound("more than {} of the frames lost; the board restarted", 0.2),
        ),
        few_places=True,
        raised_by="drop",
    ),
    CheckSpec(
        CheckId.MARK,
        "where angles count from",
        look_at_mark,
        Thresholds(),
        not_for=frozenset({AngleSource.TYPED, AngleSource.STOPS}),
        few_places=True,
    ),
    CheckSpec(
        CheckId.COUNTS,
        "counts from index to index, and the part from turn to turn",
        look_at_counts,
        Thresholds(
            Bound("index to index (or turn to turn) off by {} deg", 0.2),
            Bound("off by {} deg; the encoder reported impossible steps", 0.5),
        ),
        not_for=frozenset({AngleSource.TYPED}),
        few_places=True,
        raised_by="lost-counts",
    ),
    CheckSpec(
        CheckId.DIRECTION,
        "which way the turns went",
        look_at_direction,
        Thresholds(Bound("full turns the other way")),
        raised_by="reverse",
    ),
    CheckSpec(
        CheckId.COVERAGE,
        "gaps round the part",
        look_at_coverage,
        Thresholds(
            Bound("gap over {} deg; a turn left out for its gap", 12.0),
            Bound("gap over {} deg in every turn", 30.0),
            Bound("gap of {} deg", 100.0),
        ),
        few_places=True,
    ),
    CheckSpec(
        CheckId.TURNS,
        "how many full turns there are",
        look_at_turns,
        Thresholds(Bound("only one full turn")),
        few_places=True,
    ),
    CheckSpec(
        CheckId.SPEED,
        "how evenly the part was turned",
        look_at_speed,
        Thresholds(Bound("fastest turn over {} times the slowest", 2.0)),
        few_places=True,
    ),
    CheckSpec(
        CheckId.GAUGE_RATE,
        "new values a turn",
        look_at_gauge_rate,
        Thresholds(
            Bound("values and places of all turns carry fewer than {} orders", 15),
            Bound("fewer than {} orders", 5),
        ),
        not_for=frozenset({AngleSource.TYPED}),
        few_places=True,
        raised_by="too-fast",
    ),
    CheckSpec(
        CheckId.TIP,
        "standstill at an extreme, readings out of range",
        look_at_tip,
        Thresholds(refused=Bound("{} deg at one identical extreme, or out of range", 10.8)),
        explained_by=_BUTTONS,
        raised_by="tip-off",
    ),
    CheckSpec(
        CheckId.STUCK,
        "standstill elsewhere",
        look_at_stuck,
        Thresholds(refused=Bound("{} deg at one value, against chance and the other turns", 10.8)),
        explained_by=_BUTTONS,
        raised_by="stuck",
    ),
    CheckSpec(
        CheckId.UNIT,
        "the indicator's buttons",
        look_at_unit,
        Thresholds(refused=Bound("a change of scale by 25.4, or a jump to zero")),
        raised_by="unit-pressed",
    ),
    CheckSpec(
        CheckId.STAND,
        "steps in time that are none in angle",
        look_at_stand,
        Thresholds(refused=Bound("any other step that stays")),
        raised_by="stand-jump",
    ),
    CheckSpec(
        CheckId.CLOSURE,
        "the reading back at the mark",
        look_at_closure,
        Thresholds(Bound("{} of the limit", _OF_LIMIT[0]), Bound("{} of the limit", _OF_LIMIT[1])),
        explained_by=(*_GAUGE, CheckId.COUNTS),
        few_places=True,
    ),
    CheckSpec(
        CheckId.DRIFT,
        "the fitted drift",
        look_at_drift,
        Thresholds(
            Bound("{} of the limit a turn", _OF_LIMIT[0]), Bound("{} of the limit a turn", _OF_LIMIT[1])
        ),
        explained_by=_GAUGE,
        few_places=True,
        raised_by="drift",
    ),
    CheckSpec(
        CheckId.REPEAT,
        "curves of the turns against one another",
        look_at_repeat,
        Thresholds(
            Bound("{} of the limit between two turns", _OF_LIMIT[0]), Bound("{} of the limit", _OF_LIMIT[1])
        ),
        explained_by=(*_GAUGE, CheckId.COUNTS, CheckId.CLOSURE, CheckId.DRIFT),
    ),
    CheckSpec(
        CheckId.BUMPS,
        "narrow features of the track",
        look_at_bumps,
        Thresholds(
            Bound("any narrow bump that is no hole"), Bound("low places as of holes that were not left out")
        ),
        trace_of=_LATE_OR_PLAY,
        raised_by="nick",
    ),
    CheckSpec(
        CheckId.LOBES,
        "waves round the part above the highest order",
        look_at_lobes,
        Thresholds(Bound("any order above that stands out of the noise, counted in")),
        trace_of=_LATE_OR_PLAY,
    ),
    CheckSpec(
        CheckId.LAG,
        "what speed changes tell of a late gauge",
        look_at_lag,
        Thresholds(
            Bound("a lag turns angles, or unknown may turn them, by {} deg; another than declared", LAG_DEG)
        ),
        raised_by="late",
    ),
    CheckSpec(
        CheckId.BACKWARD_FORWARD,
        "ground passed twice",
        look_at_backward_forward,
        Thresholds(Bound("going back, the reading stays behind by {} of the limit", _OF_LIMIT[0])),
        raised_by="hysteresis",
    ),
    CheckSpec(
        CheckId.END_FLOAT,
        "the end float measured before the sweep",
        look_at_end_float,
        Thresholds(Bound("{} of the limit", 0.1), Bound("{} of the limit", 0.5)),
        few_places=True,
    ),
    CheckSpec(
        CheckId.GAUGE_REGISTER,
        "what was typed of the gauge beside the register of gauges",
        look_at_gauge_register,
        Thresholds(Bound("something else was typed than the register has, which holds")),
        few_places=True,
    ),
)


def thresholds_of(check: CheckId) -> Thresholds:
    """Return from where on a check is doubtful and refused."""
    return next(spec.thresholds for spec in CHECKS if spec.id is check)


def run_checks(evidence: Evidence) -> tuple[Check, ...]:
    """Return every check that this sweep allows, in the order of the work."""
    looked = [(spec, spec.look(evidence, spec.thresholds)) for spec in CHECKS if spec.applies_to(evidence)]
    refused = {spec.id for spec, found in looked if found is not None and found.state is CheckState.REFUSED}
    in_doubt = {spec.id for spec, found in looked if found is not None and found.state is CheckState.DOUBTFUL}
    own = [_explained(spec, found, refused, in_doubt) for spec, found in looked if found is not None]
    return with_recorded_checks(own, evidence.capture.from_recording)


def _explained(
    spec: CheckSpec, found: Finding, refused: Collection[CheckId], in_doubt: Collection[CheckId]
) -> Check:
    """Take back to doubtful what another refused check explains, and name the cause of a trace.

    One fault, one refusal; and one fault is named before its traces.
    """
    if found.state is CheckState.DOUBTFUL and found.maybe_trace:
        cause = next((one for one in spec.trace_of if one in in_doubt), None)
        if cause is not None:
            return Check(spec.id, found.state, f"{found.text} (see {cause})", found.do, cause)
    cause = next((one for one in spec.explained_by if one in refused), None)
    if found.state is not CheckState.REFUSED or cause is None:
        return Check(spec.id, found.state, found.text, found.do)
    return Check(spec.id, CheckState.DOUBTFUL, f"{found.text} (see {cause})", found.do)
