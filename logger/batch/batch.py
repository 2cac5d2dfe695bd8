"""Where a batch stands, as one frozen value: which part is named, which are measured, which are to come.

What a line that was typed or scanned does, and what a sweep does, give the next value and words for the
person. Nothing here begins a sweep: a line only names a part.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from analysis.decision import DecisionState
from analysis.errors import BadInput
from analysis.units import format_length
from logger.batch.serials import Again, Named, Skip, parse_line
from logger.batch.sweep_of_part import MeasuredPart

BEGINS = "SPACE begins, its mark under the tip, the part standing"
"""What a person does once a part is named."""


@dataclass(frozen=True, slots=True)
class SkippedPart:
    """A part that a person left out."""

    serial: str
    reason: str


@dataclass(frozen=True)
class Batch:
    """Where it stands."""

    job: str
    planned: tuple[str, ...] = ()
    """Serials in the order they come; empty where each is typed."""
    sweeps: tuple[MeasuredPart, ...] = ()
    """Every sweep of this job, in the order made: of one part the last counts."""
    skipped: tuple[SkippedPart, ...] = ()
    """Left out since this program was begun."""
    serial: str = ""
    """The part that is named now; empty while none is."""
    asked: str = ""
    """The serial about which a person was asked, until the next line."""
    unit: str = "mm"

    # --- what is known --------------------------------------------------------------------------------

    @property
    def parts(self) -> Mapping[str, MeasuredPart]:
        """The last sweep of each part, which counts: in the order planned, then as they were measured."""
        found = {one.serial: one for one in self.sweeps if one.of_batch}
        return {serial: found[serial] for serial in dict.fromkeys((*self.planned, *found)) if serial in found}

    @property
    def left(self) -> tuple[str, ...]:
        """Planned parts that no sweep has measured yet, skipped ones among them."""
        parts = self.parts
        return tuple(one for one in self.planned if one not in parts or not parts[one].counts)

    @property
    def over(self) -> bool:
        """Tell whether every planned part is measured or skipped."""
        return bool(self.planned) and not self.serial and self._next() == ""

    def count(self, state: str) -> int:
        """Return how many parts are in this state."""
        return sum(one.state == state for one in self.parts.values())

    @property
    def state(self) -> str | None:
        """State that stands for all, over before not decided; None where nothing was decided."""
        if self.count(DecisionState.OVER):
            return DecisionState.OVER
        unmeasured = self.left or not all(one.counts for one in self.parts.values())
        if self.count(DecisionState.UNDECIDED) or unmeasured:
            return DecisionState.UNDECIDED
        return DecisionState.WITHIN if self.count(DecisionState.WITHIN) else None

    def _next(self) -> str:
        out = {one.serial for one in self.skipped}
        return next((one for one in self.left if one not in out), "")

    # --- what a person does ---------------------------------------------------------------------------

    def begun(self) -> "Batch":
        """Return it with the first part named that is not measured yet."""
        return replace(self, serial=self._next(), asked="")

    def typed(self, line: str) -> tuple["Batch", str]:
        """Return it after a line, and what to say. Raises BadInput where the line asks for nothing."""
        asked = self.asked
        if asked and line.strip().lower() in ("y", "yes"):
            return self._named(asked)
        match parse_line(line):
            case Again():
                return self._again(asked)
            case Skip(reason):
                return replace(self, asked="")._skip(reason)
            case Named(serial):
                return replace(self, asked="")._name(serial)

    def _name(self, serial: str) -> tuple["Batch", str]:
        before = self.parts.get(serial)
        if serial == self.serial:
            return self, f"{serial} is named already: {BEGINS}"
        if before is not None and before.counts:
            words = (
                f"{serial} is measured already: TIR {format_length(before.tir_mm, self.unit)}, "
                f"{before.words}. Type again to measure it once more (the last counts), or another serial"
            )
            return replace(self, asked=serial), words
        if self.planned and serial not in self.planned:
            words = (
                f"{serial} is none of the {len(self.planned)} parts of this batch ({self.planned[0]} to "
                f"{self.planned[-1]}). Type yes to measure it all the same, or another serial"
            )
            return replace(self, asked=serial), words
        return self._named(serial)

    def _named(self, serial: str) -> tuple["Batch", str]:
        return replace(self, serial=serial, asked=""), f"{serial}: {BEGINS}"

    def _again(self, asked: str) -> tuple["Batch", str]:
        if asked:
            return self._named(asked)
        sweeps = [one.serial for one in self.sweeps if one.of_batch]
        if not sweeps:
            raise BadInput("no part is measured yet: type or scan a serial first")
        return self._named(sweeps[-1])

    def _skip(self, reason: str) -> tuple["Batch", str]:
        if not self.serial:
            raise BadInput("no part is named that could be skipped: type or scan its serial first")
        others = tuple(one for one in self.skipped if one.serial != self.serial)
        out = replace(self, skipped=(*others, SkippedPart(self.serial, reason)))
        after = replace(out, serial=out._next())
        return after, f"{self.serial} is skipped: {reason}"

    def with_sweep(self, one: MeasuredPart) -> "Batch":
        """Return it after a sweep: a part that was refused stays named, else the next one is."""
        skipped = tuple(out for out in self.skipped if out.serial != one.serial)
        after = replace(self, sweeps=(*self.sweeps, one), skipped=skipped, asked="")
        if not one.counts:
            return replace(after, serial=one.serial)
        return replace(after, serial=after._next())

    @property
    def wants(self) -> str:
        """What a person is to do next, in words."""
        if self.serial:
            last = self.parts.get(self.serial)
            if last is not None and not last.counts:
                return f"{self.serial} again with SPACE, or type skip and why, or another serial"
            return f"Put {self.serial} on: {BEGINS}"
        if self.over:
            return "Every part of the batch is measured or skipped"
        return "Type or scan a serial"


def with_job_held(batch: Batch, part: str) -> Batch:
    """Refuse a job that holds parts of another kind. Raises BadInput."""
    others = _other_kinds(batch.sweeps, part)
    if others:
        raise BadInput(
            f"job {batch.job!r} holds sweeps of {others[0]!r}, and the set-up names {part!r}: name another "
            "--job, or the part with --set part=..."
        )
    return batch


def _other_kinds(sweeps: Sequence[MeasuredPart], part: str) -> list[str]:
    return [one.part for one in sweeps if one.of_batch and one.part != part]
