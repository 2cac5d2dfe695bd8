"""What each step of a job has shown, in one sentence and a few lines, from its swept sweeps.

The same numbers and the same sentences as the commands; a step that misses another says so.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from analysis.combined import first_of
from analysis.compare import compare
from analysis.end_float import EndFloat
from analysis.errors import FullturnError
from analysis.owners import OnArbor, Owners, owners
from analysis.sweep import ON_THE_CUTTING_MOUNT
from analysis.truing import explain_half_turn
from analysis.units import format_length, parse_length
from analysis.vectors import Vectors
from logger.live.guided.job import Job, Taken
from logger.live.guided.steps import BY_KEY
from logger.predicted import CARD_LENGTHS, Advised, advise_on, card_of, predict
from logger.swept import Swept
from logger.words import answer, belief, printable
from logger.words_bench import GATE_WORDS, end_float_text
from logger.words_owners import card_lines, comparison_text, prediction_sentence

ROLE_OF_GATE = {"clear": "within", "doubtful": "doubt", "refused": "over", None: "strong"}
ROLE_OF_ADVICE = {"mounting-good": "within", "mount-again": "over", "undecided": "undecided"}
SHORT_ADVICE = {"mounting-good": "good", "mount-again": "again", "undecided": "?"}
SHORT_STATE = {"within": "within", "over": "OVER", "undecided": "?"}


@dataclass(frozen=True)
class Told:
    """What a step has shown."""

    sentence: str
    role: str = "strong"
    """``within``, ``over``, ``undecided``, ``doubt`` or ``strong``."""
    figure: str = ""
    """In a word or two."""
    lines: tuple[str, ...] = ()
    state: str = ""
    """``mounting-good`` and so on where SPACE depends on it; the state of a verdict; else empty."""
    curve: Vectors | None = None
    """To be drawn."""


Found = Mapping[str, Swept | EndFloat | str]
"""What each sweep gave, by its id; a text says why it gave nothing."""


class Missing(FullturnError):
    """Another step's sweep is needed and not there."""


class Teller:
    """Tells the steps of one job in one unit."""

    def __init__(self, job: Job, found: Found, unit: str) -> None:
        self.job, self._found, self.unit = job, found, unit

    def all(self) -> dict[str, Told]:
        """Return what every step that has something to tell says, by its key."""
        told = {}
        for key, tell in self._steps().items():
            if key not in ("predicted", "cut-card") and self.job.last(key) is None:
                continue
            if key in ("predicted", "cut-card") and self.job.last("mounting", "predicted") is None:
                continue
            try:
                told[key] = tell()
            except FullturnError as error:
                told[key] = Told(printable(str(error)), "doubt")
        return told

    def _steps(self) -> dict[str, Callable[[], Told]]:
        return {
            "end-float": self._end_float,
            "as-found": self._as_found,
            "mounting": self._mounting,
            "half-before": self._half_before,
            "predicted": self._predicted,
            "cut-card": self._cut_card,
            "after-cut": self._after_cut,
            "half-after": self._half_after,
            "as-left": self._as_left,
        }

    # --- what there is --------------------------------------------------------------------------------

    def swept(self, one: Taken | None, step: str) -> Swept:
        """Return a step's sweep; raises Missing where it was skipped or cannot be read."""
        if one is None:
            skipped = "was skipped" if step in self.job.skipped else "has no sweep yet"
            raise Missing(f"{BY_KEY[step].short} {skipped}: nothing is told that needs it")
        found = self._found.get(one.id, "its recording has not been read yet")
        if isinstance(found, str):
            raise Missing(f"{BY_KEY[one.step].short}: {found}")
        if isinstance(found, EndFloat):
            raise Missing(f"{BY_KEY[one.step].short}: a push-pull capture is no sweep")
        return found

    def _last(self, step: str) -> Swept:
        return self.swept(self.job.last(step), step)

    def _own(self) -> Swept | None:
        try:
            return self._last("as-found")
        except Missing:
            return None

    def mountings(self) -> list[tuple[Taken, Swept]]:
        """Return every mounting that counts, in the order taken."""
        return [(one, self.swept(one, one.step)) for one in self.job.of("mounting", "predicted")]

    def _length(self, mm: float) -> str:
        return format_length(mm, self.unit)

    def _vector(self, vectors: Vectors) -> str:
        return f"{self._length(vectors.tir_first_mm)} @ {vectors.high_side_deg:.0f} deg"

    # --- step by step ---------------------------------------------------------------------------------

    def _end_float(self) -> Told:
        taken = self.job.last("end-float")
        assert taken is not None
        found = self._found.get(taken.id, "its recording has not been read yet")
        if not isinstance(found, EndFloat):
            raise Missing(f"end float: {found}")
        written = ""
        own = self._own()
        if own is not None and own.capture.setup.limit is not None:
            written = own.capture.setup.limit.length.as_written
        text = end_float_text(found, written or "entered", self.unit).splitlines()
        lines = [text[1], text[2]]
        if found.state == "refused":
            lines.append("Take it out first: shims and preload as the maker's manual says. G measures again.")
        word = "no limit" if found.state is None else found.state
        return Told(
            text[0],
            ROLE_OF_GATE[found.state],
            f"{self._length(found.float_mm)} {word}",
            tuple(lines),
            found.state or "",
        )

    def _verdict(self, sweep: Swept, lines: list[str]) -> Told:
        result = sweep.result
        state = result.decision.state if result.decision else ""
        value = result.decision.value_mm if result.decision else result.pooled.tir_fit_mm
        return Told(
            answer(result, self.unit),
            state or "strong",
            f"{self._length(value)} {SHORT_STATE.get(state, '')}".rstrip(),
            (*belief(result), *lines),
            state,
            sweep.vectors,
        )

    def _as_found(self) -> Told:
        return self._verdict(self._last("as-found"), self._float_notes())

    def _float_notes(self) -> list[str]:
        taken = self.job.last("end-float")
        if taken is None:
            return ["End float was not measured: it may be in this reading."]
        found = self._found.get(taken.id)
        if isinstance(found, EndFloat) and found.state == "refused":
            return [
                f"End float, last measured, was {self._length(found.float_mm)}: {GATE_WORDS['refused']}. If "
                "it was not taken out since, it is in this reading."
            ]
        return []

    def _mounting(self) -> Told:
        every = [(one, sweep) for one, sweep in self.mountings() if one.step == "mounting"]
        return self._advice(every, *self._advised(every[-1][1]))

    def _predicted(self) -> Told:
        every = self.mountings()
        now = every[-1][1]
        if not self.job.came_off:
            return self._advice(every, *self._advised(now))
        sentence, advised = self._advised(now, comes_off=True)
        told = self._advice(every, sentence, advised)
        note = "The part came off for the half turn: this is of the mounting BEFORE it. Sweep what is on now."
        return Told(told.sentence, told.role, told.figure, (note, *told.lines), told.state, told.curve)

    def _advised(self, one: Swept, *, comes_off: bool = False) -> tuple[str, Advised | None]:
        """Return the sentence about a mounting, and the advice; None without a limit."""
        own = self._last("as-found")
        surface, limit = own.result.setup.surface, own.capture.setup.limit
        mounts = [one.on_part(own) - own.on_part() for _, one in self.mountings()] if comes_off else []
        if limit is None:
            tir = predict(own, one, surface, mounts=mounts, comes_off=comes_off).tir.value_mm
            left = f"A perfect cut on this mounting would leave {self._length(tir)} TIR in the part's own "
            return left + "bearings; no limit was entered to hold it against.", None
        advised = advise_on(own, one, limit, surface, mounts=mounts, comes_off=comes_off)
        return prediction_sentence(advised, self.unit), advised

    def _advice(self, every: list[tuple[Taken, Swept]], sentence: str, now: Advised | None) -> Told:
        own = self._last("as-found")
        if now is None:
            return Told(sentence, "strong", "no limit")
        mount = now.prediction.mount_first
        lines = [
            f"Mount vector (lathe less bearings): {self._length(mount.tir_first_mm)} @ "
            f"{mount.high_side_deg:.0f} deg on the part; a cut leaves minus this."
        ]
        if now.advice == "undecided":
            lines.append(f"Not decided because: {printable(now.decision.why)}.")
        last = every[-1][1].on_part(own)
        for number, (_, sweep) in enumerate(every[:-1], 1):
            off = self._vector(sweep.on_part(own) - last)
            lines.append(f"Mounting {number} differed from this one by {off}: dirt, or how it sat.")
        lines += [f"Note: {note}." for note in now.notes]
        tir = self._length(now.prediction.tir.value_mm)
        return Told(
            sentence,
            ROLE_OF_ADVICE[now.advice],
            f"{tir} {SHORT_ADVICE[now.advice]}",
            tuple(lines),
            now.advice,
            now.prediction.predicted,
        )

    def owners(self) -> Owners:
        """Return who owns what, from all sweeps before the cut; raises FullturnError where one is missing."""
        own, halves = self._own(), self.job.of("half-before")
        order = self.job.taken.index
        # Only a mounting that was there before it can have been re-indexed.
        mounted = [one for one in self.job.of("mounting") if not halves or order(one) < order(halves[-1])]
        lathe = [self._on_arbor(one, own) for one in mounted]
        return owners(own.on_part() if own else None, lathe, [self._on_arbor(one, own) for one in halves])

    def _on_arbor(self, one: Taken, own: Swept | None) -> OnArbor:
        return OnArbor(*self.swept(one, one.step).on_arbor(own))

    def _half_before(self) -> Told:
        half = self._last("half-before")
        mounted = self._last("mounting")
        told = self.owners()
        spindle, separation = told.share("spindle"), told.separation
        assert spindle is not None
        assert separation is not None
        if not separation.first_separable:
            return Told(
                "Order 1 cannot be separated with these two positions: no number is given.",
                "doubt",
                "not told",
                (self.best_next(told),),
            )
        first = spindle.first
        low, high = (self._length(end) for end in first.interval_mm)
        a, b = mounted.on_part(), half.on_part(mounted)
        lines = [
            f"Once round the lathe reads {self._vector(a)} on the part, re-indexed {self._vector(b)}: what "
            "moved on the part is not the part's.",
            f"Spindle 95 %: {low} to {high}.",
            self.best_next(told),
        ]
        return Told(
            f"The part with its seat has {self._vector(separation.part)} on the part; spindle, arbor and "
            f"cones have {self._vector(spindle.vectors)} on the arbor (TIR of order 1, high side).",
            "strong",
            f"S {self._length(first.tir_first_mm)} @ {first.high_side_deg:.0f}",
            tuple(line for line in lines if line),
            curve=half.vectors,
        )

    def best_next(self, told: Owners) -> str:
        """Return what these positions cannot separate, and the position to add."""
        found = told.separation
        if found is None or not found.not_separable:
            return ""
        orders, at = found.not_separable, f"{found.best_next_deg:.0f} deg"
        even = all(n % 2 == 0 for n in orders) and len(orders) > 1
        which = "Even orders (oval, saddle)" if even else f"Order {', '.join(map(str, orders))}"
        return (
            f"{which} cannot be separated with these positions; a sweep with the part's mark at {at} on the "
            "arbor would."
        )

    def _cut_card(self) -> Told:
        own, now = self._last("as-found"), self.mountings()[-1][1]
        _, advised = self._advised(now)
        if advised is None:
            raise Missing("no limit was entered: no cut is planned without the maker's limit")
        lengths = {
            key: parse_length(self.job.values[key], key).mm for key in CARD_LENGTHS if key in self.job.values
        }
        card = card_of(own, advised, lengths, own.result.setup.surface)
        first, *rest = card_lines(card, self.unit)
        state = "over" if card.stops else "strong"
        lines = [*(line.strip() for line in rest)]
        if self.job.came_off:
            lines.insert(
                0, "The part came off since this mounting was swept: sweep what is on the lathe NOW."
            )
        figure = "STOP" if card.stops else self._length(card.least_stock_mm)
        return Told(first, state, figure, tuple(lines), curve=now.on_part(own))

    def _after_cut(self) -> Told:
        sweep = self._last("after-cut")
        told = answer(sweep.result, self.unit)
        return Told(
            told,
            "strong",
            "no evidence",
            (f"{ON_THE_CUTTING_MOUNT[0].upper()}{ON_THE_CUTTING_MOUNT[1:]}.", *belief(sweep.result)),
            curve=sweep.vectors,
        )

    def _half_after(self) -> Told:
        half = self._last("half-after")
        cut = self._cutting_mount()
        alpha = half.known_index()
        reads, _ = half.on_arbor(cut)
        found = explain_half_turn(reads, alpha - cut.known_index())
        factor = "nothing of order 1" if 1 in found.blind_orders else "its share of spindle, arbor and cones"
        step = abs((alpha - cut.known_index() + 180.0) % 360.0 - 180.0)
        lines = [f"It shows {factor}; it is blind to the part's own seat" + self._blind(found.blind_orders)]
        lines += self._spindle_before(found.spindle, 1 in found.blind_orders)
        return Told(
            f"Re-indexed by {step:.0f} deg the lathe reads {self._vector(found.reads)} on the arbor: "
            f"spindle, arbor and cones have {self._vector(found.spindle)}. No verdict on the part.",
            "strong",
            f"{self._length(found.reads.tir_first_mm)}, S {self._length(found.spindle.tir_first_mm)}",
            tuple(lines),
            curve=reads,
        )

    def _blind(self, orders: tuple[int, ...]) -> str:
        return f" and to orders {', '.join(map(str, orders[:4]))} ..." if orders else "."

    def _cutting_mount(self) -> Swept:
        """Return a sweep of the mounting that was cut: after the cut, else the last one before it."""
        try:
            return self._last("after-cut")
        except Missing:
            return (
                self.mountings()[-1][1] if self.job.of("mounting", "predicted") else self._last("after-cut")
            )

    def _spindle_before(self, spindle: Vectors, blind: bool) -> list[str]:
        try:
            before = self.owners().share("spindle")
        except FullturnError:
            before = None
        if before is None or blind:
            return []
        off = first_of(spindle - before.vectors).tir_first_mm
        was = self._vector(before.vectors)
        return [f"Before the cut it was {was}: the two differ by {self._length(off)}."]

    def _as_left(self) -> Told:
        left, own = self._last("as-left"), self._own()
        lines: list[str] = []
        if own is None:
            lines.append("Not compared: as found was skipped or cannot be read.")
        else:
            lines += self._change(own, left)
        lines += self._came_true(own, left)
        gone = self.job.skipped
        if gone:
            lines.append(f"Skipped in this job: {', '.join(BY_KEY[key].title for key in gone)}.")
        return self._verdict(left, lines)

    def _change(self, own: Swept, left: Swept) -> list[str]:
        found = compare(own.result, left.result)
        blocking = [one.field for one in found.differences if one.effect == "blocks"]
        if blocking:
            return [f"NOT COMPARABLE with as found: {', '.join(blocking)} differ."]
        return [comparison_text(own, left, found, self.unit).splitlines()[0]]

    def _came_true(self, own: Swept | None, left: Swept) -> list[str]:
        if own is None or not self.job.of("mounting", "predicted"):
            return []
        now = self.mountings()[-1][1]
        predicted = predict(own, now, own.result.setup.surface).predicted
        found = left.on_part(own)
        off = self._length((found - predicted).tir_first_mm)
        return [
            f"Predicted {self._vector(predicted)}, found {self._vector(found)} (order 1 on the part): they "
            f"differ by {off}."
        ]
