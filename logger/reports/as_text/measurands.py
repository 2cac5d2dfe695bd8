"""Backlash, thickness, end float and bolts as sentences: the answer first."""

from collections.abc import Sequence

from analysis.correction import TorqueStep
from analysis.decision import Decision
from analysis.measurands import Backlash, EndFloat, Thickness
from analysis.results import Check
from analysis.setup import Limit
from analysis.units import format_both, format_length
from logger.reports.as_text.studies import limit_words
from logger.reports.as_text.sweep import STATE_WORDS, printable

GATE_WORDS = {
    "clear": "small enough for a face sweep",
    "doubtful": "a face sweep is doubtful with it",
    "refused": "too much, take the float out before a face is swept",
}
OWN_WORDS = {"clear": STATE_WORDS["within"], "refused": STATE_WORDS["over"]}
MAKER = "The maker's manual gives bolts, thread hand, torque and preload; local rules may ask for a licence."


def backlash_text(found: Backlash, unit: str, doubts: Sequence[str] = ()) -> str:
    """Return the text of ``backlash``; ``doubts`` are those of the sweep it is held against."""
    lines = [
        f"Backlash {format_both(found.mean_mm, unit)} on the mean of {found.places} places, range "
        f"{format_length(found.range_mm, unit)}.",
        *doubts,
        f"Once-round part: {format_length(found.first_mm, unit)} TIR, least at {found.low_deg:.0f} deg past "
        "the mark.",
    ]
    if found.angle_to_runout_deg is not None:
        lines.append(
            f"The place of least backlash lies {found.angle_to_runout_deg:.0f} deg past the face's high side."
        )
    if found.expected_range_mm is not None:
        lines.append(
            f"The runout alone would make a range of {format_length(found.expected_range_mm, unit)} by the "
            "factor entered."
        )
    return "\n".join([*lines, MAKER])


def thickness_text(
    found: Thickness,
    decision: Decision | None,
    limit: Limit | None,
    unit: str,
    checks: Sequence[Check],
    *,
    two_tips: bool,
) -> str:
    """Return the text of ``thickness``, from two opposed tips or a micrometer."""
    low, high = found.interval_mm
    end = "; no limit was entered."
    if decision is not None and limit is not None:
        against = "against the entered limit " if decision.state == "undecided" else ""
        end = f": {STATE_WORDS[decision.state]} {against}{limit_words(limit.length)}."
    thinnest = "" if two_tips else f"{format_length(found.thinnest_mm, unit)} "
    lines = [f"Thickness varies by {format_both(found.variation_mm, unit)}{end}", *_belief(checks)]
    refused = any(check.state == "refused" for check in checks)
    if decision is not None and decision.state == "undecided" and not refused:
        lines.append(f"Not decided because: {printable(decision.why)}.")
    lines += [
        "",
        f"95 %: {format_length(low, unit)} to {format_length(high, unit)}.",
        f"Thinnest {thinnest}at {found.thinnest_deg:.0f} deg past the part's mark.",
    ]
    if two_tips:
        lines.append(
            "Wobble and end float do not count in it. The two tips have to stand exactly opposite, with "
            "matched gains; they tell how the thickness varies, not how thick it is."
        )
    else:
        lines.append("Between the places of a micrometer it may be thinner still.")
    return "\n".join(lines)


def _belief(checks: Sequence[Check]) -> list[str]:
    worst = [
        *(check for check in checks if check.state == "refused"),
        *(check for check in checks if check.state == "doubtful"),
    ]
    if not worst:
        return ["All checks are clear."]
    how = "Do not rely on it" if worst[0].state == "refused" else "Doubtful"
    lines = [f"{how}: {worst[0].text}."]
    if worst[0].do:
        lines.append(f"Do this: {worst[0].do}.")
    return [printable(line) for line in lines]


def end_float_text(found: EndFloat, limit_as_written: str, unit: str, *, own_limit: bool = False) -> str:
    """Return the text of ``endfloat``; ``own_limit`` where the limit is the end float's own."""
    answer = f"End float {format_both(found.float_mm, unit)}, pushed and pulled {found.cycles} times"
    if found.share_of_limit is None or found.state is None:
        lines = [f"{answer}; no limit was entered to hold it against."]
    else:
        lines = [
            f"{answer}, {found.share_of_limit:.2f} times the limit {printable(limit_as_written)}: "
            f"{(OWN_WORDS if own_limit else GATE_WORDS)[found.state]}."
        ]
    least, most = (format_length(end(found.each_mm), unit) for end in (min, max))
    lines.append(
        f"From {least} to {most} each time; standard uncertainty {format_length(found.u_float_mm, unit)}."
    )
    lines.append("End float goes straight into a face reading; the maker's manual has the preload.")
    return "\n".join(lines)


def torque_text(steps: Sequence[TorqueStep], thread: str) -> str:
    """Return the text of ``torque``."""
    bolts = len(steps[0].order)
    way = "clockwise" if thread == "right" else "counter-clockwise"
    lines = [
        f"{bolts} bolts in {len(steps)} step(s), criss-cross; bolt 1 at the mark, tighten {way} "
        f"({thread}-hand thread)."
    ]
    lines += [f"  {printable(step.torque)}: {' '.join(map(str, step.order))}" for step in steps]
    return "\n".join([*lines, MAKER])
