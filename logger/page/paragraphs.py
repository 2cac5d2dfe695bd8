"""The small print of a page, under headings: uncertainty, rule, checks, what was left out and done."""

from collections.abc import Iterable
from dataclasses import dataclass

from analysis.capture import left_out_by_person
from analysis.decision import RULE, Decision, DecisionState, conformance_probability
from analysis.measurands import Comparison, comparability_check
from analysis.results import CheckState, SweepResult
from analysis.setup import CompareEffect, Quantity
from analysis.units import format_length
from logger.inputs import AnalysedSweep
from logger.page.numbers_table import in_words, whole_number
from logger.page.part_on_page import MeasuredPart
from logger.page.shown import no_bare_zero, shown
from logger.reports.phrases import QUANTITY_WORDS

MOST_LINES = 6
"""So many of a list are printed on the one page; the recording has them all."""
RULE_IN_WORDS = (
    "within where the value and its one-sided guard lie at or under the limit; over where the value less its "
    "guard lies at or over it; else not decided"
)
RISK = (
    "The rule limits the chance of a wrong 'within' for one part at the limit to 5 %, of what the budget "
    "lists. The share of wrong decisions among many parts depends on how the parts scatter and is not stated."
)
NOT_IN_BUDGET = "Not seen in a sweep: a wrong scale, another mounting."
DONE_LEGEND = (
    "Of a mounting: what a cut on it would leave. S: spindle, arbor and cones, TIR of order 1 @ high side."
)


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A heading and its sentences."""

    heading: str
    text: str
    strong: bool = False


def paragraphs(part: MeasuredPart, change: Comparison | None, unit: str) -> tuple[Paragraph, ...]:
    """Return them in the order of the page."""
    after = part.after.result
    found = [
        Paragraph("Uncertainty", " ".join(_uncertainty(part, unit))),
        Paragraph("Rule", " ".join(rule_sentences(after, unit))),
        Paragraph("Checks", " ".join(_checks(part))),
        Paragraph("Left out", "; ".join(_left_out(part, unit)) or "nothing"),
        Paragraph("Deviations", "; ".join(deviations(part)) or "none"),
    ]
    if change is not None:
        found.append(Paragraph("Comparable", _comparable(change)))
    if part.steps:
        done = "; ".join(f"{step.title} {shown(step.figure, 60)}" for step in part.steps)
        found.append(Paragraph("Done", f"{done}. {DONE_LEGEND}"))
    return tuple(found)


# --- uncertainty and rule ------------------------------------------------------------------------------


def _uncertainty(part: MeasuredPart, unit: str) -> Iterable[str]:
    for title, one in zip(part.titles, part.sweeps, strict=True):
        result = one.result
        quantity = Quantity(result.decision.quantity) if result.decision else Quantity.TIR
        number = whole_number(result, quantity)
        lines = sorted(number.parts.items(), key=lambda line: -line[1].u)
        named = ", ".join(f"{name} {small(line.u, unit)}" for name, line in lines[:MOST_LINES])
        rest = f", {len(lines) - MOST_LINES} smaller" if len(lines) > MOST_LINES else ""
        yield f"{title}: {in_words(number, unit)}; standard uncertainties (k = 1): {named}{rest}."
    taken = dict.fromkeys(
        remark for one in part.sweeps for remark in one.result.remarks if remark.startswith("gauge taken as")
    )
    yield from (f"{remark[0].upper()}{remark[1:]}." for remark in taken)
    yield NOT_IN_BUDGET


def small(mm: float, unit: str) -> str:
    """Return a line of a budget; what would print as nothing is said to be less than the last digit."""
    return no_bare_zero(format_length(mm, unit))


def rule_sentences(result: SweepResult, unit: str) -> Iterable[str]:
    """Return the rule by its name and in words, its numbers here, and what it risks (7.8.6.2)."""
    decision = result.decision
    if decision is None:
        why = result.why_no_decision
        yield f"{RULE}: nothing is held against a limit here" + (
            f": {why}." if why else ": none was entered."
        )
        return
    yield f"{RULE}: {RULE_IN_WORDS}."
    yield f"{arithmetic(decision, unit)}."
    yield look_sentence(decision)
    yield f"Chance that the {QUANTITY_WORDS[decision.quantity]} is at or under the limit: {chance(decision)}."
    if result.past_due:
        yield f"Against this stands that {shown(result.past_due)}."
    if decision.state is DecisionState.UNDECIDED:
        yield f"Not decided because: {decision.why}."
    yield RISK


def arithmetic(decision: Decision, unit: str) -> str:
    """Return the sum that the rule makes, with its result."""
    value, guard, limit = decision.number.value, decision.guard_mm, decision.limit_mm

    def length(mm: float) -> str:
        return format_length(mm, unit)

    if value < limit:
        end, sign, relation = value + guard, "+", "<=" if value + guard <= limit else ">"
    else:
        end, sign, relation = value - guard, "-", ">=" if value - guard >= limit else "<"
    return (
        f"Value {length(value)} {sign} guard {length(guard)} = {length(end)} {relation} limit {length(limit)}"
    )


def look_sentence(decision: Decision) -> str:
    """Return which look at the part this is, and what each of them may be wrong by."""
    looks = decision.looks
    of = f"of {looks.planned} planned" if looks.planned is not None else "and none was planned"
    return f"This is look {looks.look} {of}: it may be wrong by {100.0 * looks.alpha:.1f} % on either side."


def chance(decision: Decision) -> str:
    """Return how likely the limit is kept, in per cent; what is nearly sure in words."""
    share = 100.0 * conformance_probability(decision.number, decision.limit_mm)
    if share > 99.9:
        return "over 99.9 %"
    return "under 0.1 %" if share < 0.1 else f"{share:.1f} %"


# --- checks, left out, deviations, comparable ----------------------------------------------------------


def _checks(part: MeasuredPart) -> Iterable[str]:
    for title, one in zip(part.titles, part.sweeps, strict=True):
        checks = one.result.checks
        clear = sum(check.state is CheckState.CLEAR for check in checks)
        in_doubt = sorted(
            (check for check in checks if check.state is not CheckState.CLEAR),
            key=lambda check: -check.state.rank,
        )
        named = "".join(
            f"; {check.state}: {check.name}, {shown(no_bare_zero(check.text), 100)}" for check in in_doubt[:3]
        )
        more = f"; {len(in_doubt) - 3} more" if len(in_doubt) > 3 else ""
        yield f"{title}: {clear} of {len(checks)} clear{named}{more}."


def _left_out(part: MeasuredPart, unit: str) -> Iterable[str]:
    """Yield what was left out and why; of what a person left out the result with it and without it."""
    for title, one in zip(part.titles, part.sweeps, strict=True):
        by_person = left_out_by_person(one.capture.events)
        turns = by_person.turns if by_person is not None else ()
        windows = [
            (f"{window.start_deg:.0f} to {window.end_deg:.0f} deg", window.reason)
            for window in one.result.left_out
        ]
        gone = [*turns, *windows]
        for what, why in gone[:MOST_LINES]:
            yield f"{title.lower()} {what} ({shown(why, 60)})"
        if len(gone) > MOST_LINES:
            yield f"{title.lower()} {len(gone) - MOST_LINES} more"
        if (whole := one.with_all_counted_in) is not None:
            yield (
                f"{title.lower()} TIR with all of it {_tir(whole, unit)}, "
                f"without what a person left out {_tir(one.result, unit)}"
            )


def _tir(result: SweepResult, unit: str) -> str:
    tir = no_bare_zero(format_length(result.answer_tir_mm, unit))
    return tir if result.decision is None else f"{tir} ({result.decision.state.words})"


def deviations(part: MeasuredPart) -> Iterable[str]:
    """Return what a reader has to know that was not as usual (clause n)."""
    for title, one in zip(part.titles, part.sweeps, strict=True):
        yield from (f"{title.lower()}: {each}" for each in _of_one(one))


def _of_one(one: AnalysedSweep) -> Iterable[str]:
    result = one.result
    if result.pooled.turns == 1 and not result.few_places:
        yield "only one turn"
    if result.few_places:
        yield "few places, read one by one"
    if result.past_due:
        yield shown(result.past_due)
    states = [check.state for check in result.checks]
    for state, words in ((CheckState.REFUSED, "refused"), (CheckState.DOUBTFUL, "doubtful")):
        if states.count(state):
            yield f"{states.count(state)} of the checks {words}"
    if one.origin.closed is False:
        yield "its recording broke off, so no checksum of its own holds it"
    if one.origin.from_recording is not None or one.origin.recording_id is None:
        yield "readings from outside a recording (o)"
    if result.setup.limit is not None and not result.setup.limit.source:
        yield "nobody entered where the limit is written"
    if result.setup.unknown:
        yield f"set-up keys not understood: {shown(', '.join(result.setup.unknown), 60)}"


def _comparable(change: Comparison) -> str:
    check = comparability_check(change.differences)
    noted = [
        f"{one.field} {shown(one.before or 'not entered', 30)} before, "
        f"{shown(one.after or 'not entered', 30)} after"
        for one in change.differences
        if one.effect is not CompareEffect.BLOCKS
    ]
    yes = "yes" if change.comparable else "NO, and no change is claimed"
    also = f" Noted: {'; '.join(noted[:4])}." if noted else ""
    return f"{yes}: {shown(no_bare_zero(check.text), 160)}.{also}"
