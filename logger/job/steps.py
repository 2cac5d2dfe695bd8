"""The steps of the job, declared once: what to do, what the sweep shows and what it cannot, its cautions."""

from dataclasses import dataclass
from enum import StrEnum

from analysis.setup import MarkSide, Stage


class StepSweep(StrEnum):
    """What is taken at a step."""

    PUSH_PULL = "push-pull"
    TURNS = "turns"
    NOTHING = ""


WANTED_TURNS = 3
"""So many turns are asked for; one is enough to go on, and says less."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step."""

    key: str
    title: str
    short: str
    """For the list of steps."""
    do: str
    shows: str
    cannot: str
    cautions: tuple[str, ...]
    stage: Stage = Stage.OTHER
    """Stage its sweep is recorded with."""
    lathe: bool = False
    """True where the sweep is taken on the lathe: the arbor's mark counts too."""
    takes: StepSweep = StepSweep.TURNS
    mark_on: MarkSide = MarkSide.PART
    """Whose mark its angles count from."""
    optional: bool = False
    """True where SPACE passes it by; PageUp from the step after it leads there."""


STEPS = (
    Step(
        "end-float",
        "End float first",
        "end float",
        "Tip on the face, shaft standing still. Push it home and pull it out three times; hold each for a "
        "second or two.",
        "how far the shaft comes: it goes straight into a face reading.",
        "the runout.",
        ("lifting", "dust"),
        Stage.END_FLOAT,
        takes=StepSweep.PUSH_PULL,
    ),
    Step(
        "as-found",
        "As found, in its own bearings",
        "as found",
        "Clean and deburr the track. Turn three times round past the mark, slowly and evenly.",
        "what the customer has: the part against its own bearing axis.",
        "who owns it: the part, its seat, or what carries it.",
        ("turning",),
        Stage.AS_FOUND,
    ),
    Step(
        "arbor",
        "Arbor alone, if wanted",
        "arbor alone",
        "The arbor in the spindle without the part, tip on a true face of it. Turn three times.",
        "what spindle and arbor bring along by themselves; with it even orders come apart too.",
        "cones and clamping, which come with the part. An arbor fitted anew voids it.",
        ("power",),
        Stage.ON_THE_LATHE,
        lathe=True,
        mark_on=MarkSide.ARBOR,
        optional=True,
    ),
    Step(
        "mounting",
        "Mounting on the lathe",
        "mounting",
        "Part on arbor and cones, cones wiped. Tip on the same track, at the tool's clock place. Turn three "
        "times.",
        "lathe less bearings, as vectors: what a perfect cut on this mounting would leave.",
        "by its TIR alone whether it is good: two runouts can hide each other.",
        ("power",),
        Stage.ON_THE_LATHE,
        lathe=True,
    ),
    Step(
        "half-before",
        "Half turn BEFORE the cut",
        "half before",
        "Loosen, turn the part about half a turn on the arbor (any angle will do), tighten. Turn "
        "three times.",
        "what turned with the part and what stayed with spindle, arbor and cones.",
        "even orders (oval, saddle) after exactly half a turn; the part's seat stays in the part's share.",
        ("remount",),
        Stage.HALF_TURN,
        lathe=True,
    ),
    Step(
        "predicted",
        "Predicted, before any cut",
        "predicted",
        "Put the part back as it was mounted, mark to mark: only what is on the lathe now counts. Turn "
        "three times.",
        "what a perfect cut would leave in the part's own bearings.",
        "spring-back, push-off of the tool, a warm part, spindle motion that does not repeat.",
        ("power",),
        Stage.ON_THE_LATHE,
        lathe=True,
    ),
    Step(
        "cut-card",
        "Cut card",
        "cut card",
        "E enters stock, minimum, allowance and depth of a pass.",
        "least stock to clean up, first touch, passes, stock left.",
        "whether the part may be machined at all: a qualified person decides that.",
        ("cut",),
        takes=StepSweep.NOTHING,
    ),
    Step(
        "after-cut",
        "After the cut, on the cutting mount",
        "after cut",
        "Loosen nothing. Tip back on the track. Turn three times.",
        "that the tool cut all round, and how smooth.",
        "the result: the cut made the face true to the LATHE's axis, so it reads "
        "nothing here whatever is left.",
        ("power",),
        Stage.AFTER_CUT,
        lathe=True,
    ),
    Step(
        "half-after",
        "Half turn after the cut",
        "half after",
        "Loosen, turn the part about half a turn on the arbor, tighten. Turn three times.",
        "twice the share of spindle, arbor and cones.",
        "the part's own seat, and even orders: it is no verdict on the part.",
        ("remount",),
        Stage.HALF_TURN,
        lathe=True,
    ),
    Step(
        "as-left",
        "As left, in its own bearings",
        "as left",
        "Back in its own bearings, shims and preload as when found, same track. Turn three times.",
        "the result: only this sweep counts.",
        "what another assembly will do: seat, preload and torque are as they are now.",
        ("assembly", "turning"),
        Stage.AS_LEFT,
    ),
)
BY_KEY = {step.key: step for step in STEPS}
ORDER = tuple(step.key for step in STEPS)
DONE = "done"
"""Where a job stands once its last step was told."""
