"""Where a batch stands, as one frozen value: which part is named, which are measured, which are to come.

What a line that was typed or scanned does, and what a sweep does, give the next value and words for the
person. Nothing here begins a sweep: a line only names a part.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from analysis.decision import DecisionState
from analysis.errors import BadInput
from analysis.setup import Stage
from analysis.units import format_length
from logger.batch.checks import OUT, CheckLimits, CheckVerdict, judged_checks, suspects
from logger.batch.plan import BatchPlan, NextSweep
from logger.batch.second_sweeps import Repeat, repeats
from logger.batch.serials import Again, Named, Skip, parse_line
from logger.batch.skips import SkippedPart
from logger.batch.sweep_of_part import MeasuredPart

BEGINS = "SPACE begins, its mark under the tip, the part standing"
"""What a person does once a part is named."""


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
    """The part that is named now, or the check standard; empty while none is."""
    asked: str = ""
    """The serial about which a person was asked, until the next line."""
    unit: str = "mm"
    plan: BatchPlan = field(default_factory=BatchPlan)
    limits: CheckLimits = field(default_factory=CheckLimits)
    """Of the check standard."""
    wanted: NextSweep = NextSweep.PART
    """What is named."""
    left_before: Mapping[str, str] = field(default_factory=dict)
    """Reasons of parts that were left out before this program was begun: these are asked for again."""
    check_left_at: int = -1
    """How many sweeps there were when the check standard was left out last."""
    seconds_left: frozenset[str] = frozenset()
    """Parts that are not measured a second time, for a reason that was given."""

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
    def checks(self) -> Mapping[str, CheckVerdict]:
        """The verdict of every check of the standard, by recording, in the order made."""
        return judged_checks(self.sweeps, self.limits)

    @property
    def suspects(self) -> Mapping[str, str]:
        """Serials that hang on a check that was out of control, with the reason."""
        return suspects(self.sweeps, dict(self.checks))

    @property
    def repeats(self) -> Mapping[str, Repeat]:
        """The parts that were measured a second time, by serial."""
        return repeats(self.sweeps)

    @property
    def state(self) -> str | None:
        """State that stands for all, over before not decided; None where nothing was decided."""
        if self.count(DecisionState.OVER):
            return DecisionState.OVER
        if self.suspects:
            return DecisionState.UNDECIDED
        unmeasured = self.left or not all(one.counts for one in self.parts.values())
        if self.count(DecisionState.UNDECIDED) or unmeasured:
            return DecisionState.UNDECIDED
        return DecisionState.WITHIN if self.count(DecisionState.WITHIN) else None

    def _next(self) -> str:
        out = {one.serial for one in self.skipped}
        return next((one for one in self.left if one not in out), "")

    @property
    def check_is_out(self) -> bool:
        """Tell whether the last check of the standard was out of control."""
        last = next(reversed(list(self.checks.values())), None)
        return last is not None and last.state == OUT

    def _check_is_due(self) -> bool:
        every, checks = self.plan.check_every, self.checks
        if every is None:
            return False
        last = max((k for k, one in enumerate(self.sweeps) if one.recording_id in checks), default=-1)
        if self.check_left_at <= last and self.check_is_out:
            return True
        since = self.sweeps[max(last + 1, self.check_left_at, 0) :]
        measured = {one.serial for one in since if one.of_batch and one.counts}
        return len(measured) >= every or bool(measured and self.planned and not self._next())

    def _second_due(self) -> str:
        """Return the part that is to be put on again; empty where none is."""
        every = self.plan.twice_every
        measured = list(dict.fromkeys(one.serial for one in self.sweeps if one.of_batch and one.counts))
        if every is None or not measured or len(measured) % every:
            return ""
        last = measured[-1]
        return "" if last in self.repeats or last in self.seconds_left else last

    # --- what a person does ---------------------------------------------------------------------------

    def begun(self) -> "Batch":
        """Return it with that named which comes next: a part again, the check standard, the next part."""
        second = self._second_due()
        if second:
            return replace(self, serial=second, asked="", wanted=NextSweep.SECOND)
        if self._check_is_due():
            return replace(self, serial=self.plan.check_part, asked="", wanted=NextSweep.CHECK)
        return replace(self, serial=self._next(), asked="", wanted=NextSweep.PART)

    @property
    def setup_of_named(self) -> Mapping[str, str]:
        """What the set-up says of that which is named, on top of that of the batch."""
        match self.wanted:
            case NextSweep.PART:
                return {"serial": self.serial}
            case NextSweep.SECOND:
                return {"serial": self.serial, "mounting": "2"}
            case NextSweep.CHECK:
                # The limit is that of the parts; the standard has limits of its own, in the store.
                stage = Stage.CHECK_STANDARD.value
                return {
                    "part": self.plan.check_part,
                    "serial": self.limits.serial,
                    "stage": stage,
                    "limit": "",
                }

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
        if self.wanted is not NextSweep.PART and serial != self.serial:
            first = self.wants[0].lower() + self.wants[1:]
            return self, f"{serial} is not used yet: {first}; or type skip and why"
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
        named = replace(self, serial=serial, asked="", wanted=NextSweep.PART)
        return named, f"{serial}: {BEGINS}"

    def _again(self, asked: str) -> tuple["Batch", str]:
        if asked:
            return self._named(asked)
        if self.wanted is NextSweep.CHECK:
            return self, f"{self.serial} is named already: {BEGINS}"
        sweeps = [one.serial for one in self.sweeps if one.of_batch]
        if not sweeps:
            raise BadInput("no part is measured yet: type or scan a serial first")
        return self._named(sweeps[-1])

    def _skip(self, reason: str) -> tuple["Batch", str]:
        if not self.serial:
            raise BadInput("no part is named that could be skipped: type or scan its serial first")
        name = self.serial if self.wanted is not NextSweep.SECOND else f"{self.serial} a second time"
        others = tuple(one for one in self.skipped if one.serial != name)
        out = replace(self, skipped=(*others, SkippedPart(name, reason)))
        if self.wanted is NextSweep.CHECK:
            out = replace(out, check_left_at=len(self.sweeps))
        elif self.wanted is NextSweep.SECOND:
            out = replace(out, seconds_left=self.seconds_left | {self.serial})
        return out.begun(), f"{name} is skipped: {reason}"

    def with_sweep(self, one: MeasuredPart) -> "Batch":
        """Return it after a sweep: a part that was refused stays named, else the next one is."""
        skipped = tuple(out for out in self.skipped if out.serial != one.serial)
        after = replace(self, sweeps=(*self.sweeps, one), skipped=skipped, asked="")
        if not one.counts:
            return after if self.wanted is not NextSweep.PART else replace(after, serial=one.serial)
        return after.begun()

    @property
    def wants(self) -> str:
        """What a person is to do next, in words."""
        if self.wanted is NextSweep.CHECK:
            if self.check_is_out and self.check_left_at < len(self.sweeps):
                return (
                    f"{self.serial} was out of control: clean it, tip and stand. SPACE checks again; skip "
                    "and why goes on"
                )
            return f"Put the check standard {self.serial} on: {BEGINS}"
        if self.wanted is NextSweep.SECOND:
            return f"Take {self.serial} off and put it on again: {BEGINS}"
        if self.serial:
            last = self.parts.get(self.serial)
            if last is not None and not last.counts:
                return f"{self.serial} again with SPACE, or type skip and why, or another serial"
            before = self.left_before.get(self.serial)
            why = f" (left out before: {before})" if before else ""
            return f"Put {self.serial} on{why}: {BEGINS}"
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
