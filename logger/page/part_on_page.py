"""What a page is of: one part, its sweep before and after, what changed, and what was done between."""

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.measurands import Comparison, compare
from logger.inputs import AnalysedSweep, one_part
from logger.page.figures import Seen
from logger.page.register import Registered, registered


@dataclass(frozen=True, slots=True)
class StepDone:
    """One step of the job, as the list of steps tells it."""

    title: str
    figure: str
    """Its result in a word or two."""


@dataclass(frozen=True)
class MeasuredPart:
    """One part as it is put on a page."""

    after: AnalysedSweep
    before: AnalysedSweep | None = None
    steps: tuple[StepDone, ...] = ()
    end_float_mm: float | None = None
    """Measured last before these sweeps; None where nobody did."""
    entered: Registered | None = None
    """What registers know of it; None where only the recording was asked."""

    @property
    def known_of(self) -> Registered:
        """What is known of part, job and gauge beside the measurement."""
        return self.entered or registered(self.after)

    @property
    def sweeps(self) -> tuple[AnalysedSweep, ...]:
        """Both, or the one there is, in the order measured."""
        return (self.after,) if self.before is None else (self.before, self.after)

    @property
    def titles(self) -> tuple[str, ...]:
        """What each is called: by its stage alone where there is one."""
        if self.before is not None:
            return "As found", "As left"
        stage = str(self.after.result.setup.stage)
        return ("This sweep" if stage == "other" else stage[0].upper() + stage[1:],)

    @property
    def practice(self) -> bool:
        """True where any of it came from the virtual bench."""
        return any(one.origin.practice for one in self.sweeps)

    @property
    def state(self) -> str | None:
        """State of the decision about the part as it is left; None where nothing is decided."""
        return self.after.result.decision.state if self.after.result.decision else None

    def comparison(self) -> Comparison | None:
        """Return what changed, or why that cannot be told; None of one sweep."""
        return None if self.before is None else compare(self.before.result, self.after.result)

    def seen(self) -> tuple[Seen, ...]:
        """Return what is drawn."""
        return tuple(Seen.of(title, one) for title, one in zip(self.titles, self.sweeps, strict=True))


def measured_part(
    after: AnalysedSweep,
    before: AnalysedSweep | None = None,
    steps: Sequence[StepDone] = (),
    end_float_mm: float | None = None,
) -> MeasuredPart:
    """Return what a page is of. Raises BadInput for sweeps of parts with different names."""
    one_part([after] if before is None else [before, after])
    return MeasuredPart(after, before, tuple(steps), end_float_mm)
