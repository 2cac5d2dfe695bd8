"""The one shape of everything printed: the answer, whether to believe it and what to do, then the rest."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from analysis.decision import Decision, DecisionState
from analysis.numerics import OrderVectors, UncertainNumber
from analysis.results import Check, CheckState
from analysis.setup import Quantity, Setup
from analysis.uncertainty import FirstOrderEstimate
from analysis.units import format_arc, format_length
from logger.inputs import AnalysedSweep

STATE_WORDS: Mapping[str, str] = {state: state.words for state in DecisionState}
QUANTITY_WORDS: Mapping[str, str] = {
    Quantity.TIR: "TIR",
    Quantity.TIR_FIRST: "TIR of order 1",
    Quantity.ECCENTRICITY: "eccentricity",
    Quantity.FORM: "form",
}

ALONE = (
    "Intervals are 95 % of these sweeps alone, as one gauge takes them: its own error is not in them, and no "
    "limit is held against them."
)


@dataclass(frozen=True)
class Trust:
    """Whether to believe the answer, on one ground, and the one thing to do about it."""

    lines: tuple[str, ...] = ()
    do: str = ""
    """Without the closing full stop; empty where there is nothing to do."""


@dataclass(frozen=True)
class Section:
    """A block of lines under a blank one."""

    title: str = ""
    rows: tuple[str, ...] = ()
    """Printed two columns further in."""
    notes: tuple[str, ...] = ()
    """Whole sentences beneath the rows."""


@dataclass(frozen=True)
class Report:
    """What is printed of a result."""

    answer: str = ""
    """One sentence; empty where the result has nothing to say."""
    trust: tuple[Trust, ...] = ()
    rows: tuple[str, ...] = ()
    """Right under it, two columns further in."""
    notes: tuple[str, ...] = ()
    """Whole sentences beneath the rows."""
    sections: tuple[Section, ...] = ()


def layout(report: Report) -> str:
    """Return a report as text; what could steer a terminal is replaced."""
    head = [report.answer, *lines_of(report.trust), *_indented(report.rows), *report.notes]
    blocks = [head]
    for section in report.sections:
        title = [section.title] if section.title else []
        blocks.append([*title, *_indented(section.rows), *section.notes])
    return "\n\n".join("\n".join(map(printable, block)) for block in blocks)


def lines_of(trust: Sequence[Trust]) -> list[str]:
    """Return whether to believe an answer as printable lines, each ground with what to do about it."""
    return [
        printable(line)
        for one in trust
        for line in (*one.lines, *([f"Do this: {one.do}."] if one.do else []))
    ]


def _indented(rows: Sequence[str]) -> list[str]:
    return [f"  {row}" for row in rows]


def printable(text: str) -> str:
    """Return text from a device or a file with everything that could steer a terminal replaced."""
    return "".join(character if character.isprintable() else "?" for character in text)


def trust_in_checks(checks: Sequence[Check], when_clear: str = "All checks are clear.") -> Trust:
    """Return whether checks let an answer be believed: clear ones fold into one line, a refusal leads.

    A doubt that may be the trace of another comes after it.
    """
    refused = [check for check in checks if check.state is CheckState.REFUSED]
    doubtful = [check for check in checks if check.state is CheckState.DOUBTFUL]
    doubtful.sort(key=lambda check: check.cause != "")
    if refused:
        line = f"Do not rely on it: {refused[0].text}."
    elif doubtful:
        line = f"Doubtful: {'; '.join(check.text for check in doubtful)}."
    else:
        return Trust((when_clear,))
    return Trust((line,), (*refused, *doubtful)[0].do)


def trust_in_sweeps(sweeps: Sequence[AnalysedSweep]) -> tuple[Trust, ...]:
    """Return whether to believe what these sweeps say together, and what has to be said of each."""
    named = {one.name: one for one in sweeps}.values()
    checks = [
        replace(check, text=f"{one.name}: {check.text}") for one in named for check in one.result.checks
    ]
    notes = [
        *(f"Note: {one.label}." for one in named if one.label != one.name),
        *(f"Note: {one.name}: {one.result.past_due}." for one in named if one.result.past_due),
        *(
            f"Note: {one.name}: {why}: kept, not used."
            for one in named
            for why in one.result.setup.unused.values()
        ),
    ]
    return trust_in_checks(checks), Trust(tuple(notes))


def verdict(decision: Decision | None) -> str:
    """Return how an answer ends: what was decided, and the limit as written and in the other system."""
    if decision is None:
        return "; no limit was entered."
    against = "against the entered limit " if decision.state is DecisionState.UNDECIDED else ""
    limit = limit_words(decision.limit_mm, decision.limit_as_written)
    return f": {STATE_WORDS[decision.state]} {against}{limit}."


def limit_words(mm: float, as_written: str) -> str:
    """Return a limit as it was written, and in the other system."""
    metric = as_written.rstrip().endswith(("mm", "um", "µm", "μm", "cm"))
    other = format_length(mm, "thou", 2) if metric else format_length(mm, "mm", 4)
    return f"{printable(as_written)} ({other})"


def between(ends_mm: tuple[float, float], unit: str) -> str:
    """Return an interval of lengths."""
    low, high = (format_length(end, unit) for end in ends_mm)
    return f"{low} to {high}"


def ends_deg(number: UncertainNumber) -> str:
    """Return the 95 % interval of an angle."""
    low, high = number.interval()
    return "95 %: not told" if high - low >= 360.0 else f"95 %: {format_arc(low, high, 1)} deg"


def first_order(known: OrderVectors | FirstOrderEstimate, unit: str) -> str:
    """Return order 1 as TIR and high side."""
    if isinstance(known, FirstOrderEstimate):
        return f"{format_length(known.tir_first.value, unit)} @ {known.high_side.value:.1f} deg"
    return f"{format_length(known.tir_first_mm, unit)} @ {known.high_side_deg:.1f} deg"


def listed(orders: Sequence[int]) -> str:
    """Return numbers with commas between them, runs of them as from ... to."""
    words: list[str] = []
    k = 0
    while k < len(orders):
        end = k
        while end + 1 < len(orders) and orders[end + 1] == orders[end] + 1:
            end += 1
        run = orders[k : end + 1]
        words += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else map(str, run)
        k = end + 1
    return ", ".join(words)


def place_in_words(deg: float, setup: Setup) -> str:
    """Return an angle with its frame, and by hole where equally spaced holes are known."""
    whose = setup.mark_on
    around = round(deg) % 360  # whole degrees first: a hair under a turn is 0, not 360
    text = f"{around} deg past the {whose}'s mark"
    holes = _equal_holes(setup)
    if holes and whose == "part":
        step = 360.0 / holes
        number = int(around // step)
        text += f" (hole {number + 1} plus {around - number * step:.0f})"
    return text


def _equal_holes(setup: Setup) -> int:
    count = len(setup.holes)
    even = all(abs(hole.deg - 360.0 * k / count) < 1e-6 for k, hole in enumerate(setup.holes))
    return count if even and count > 1 else 0
