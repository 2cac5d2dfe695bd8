"""Backlash, thickness, end float and bolts as sentences: the answer first."""

from collections.abc import Sequence

from analysis.backlash import Backlash
from analysis.decision import Decision
from analysis.end_float import EndFloat
from analysis.thickness import Thickness
from analysis.torque import TorqueStep
from analysis.units import format_both, format_length
from logger.words import STATE_WORDS, printable

GATE_WORDS = {
    "clear": "small enough for a face sweep",
    "doubtful": "a face sweep is doubtful with it",
    "refused": "too much: take the float out before a face is swept",
}
MAKER = "The maker's manual gives bolts, thread hand, torque and preload; local rules may ask for a licence."


def backlash_text(found: Backlash, unit: str) -> str:
    """Return the text of ``backlash``."""
    lines = [
        f"Backlash {format_both(found.mean_mm, unit)} on the mean of {found.places} places, range "
        f"{format_length(found.range_mm, unit)}.",
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


def thickness_text(found: Thickness, decision: Decision | None, unit: str) -> str:
    """Return the text of ``thickness``."""
    low, high = found.interval_mm
    end = "; no limit was entered."
    if decision is not None:
        end = f": {STATE_WORDS[decision.state]} {decision.limit_as_written}."
    return "\n".join(
        [
            f"Thickness varies by {format_both(found.variation_mm, unit)}{end}",
            f"95 %: {format_length(low, unit)} to {format_length(high, unit)}; thinnest "
            f"{format_length(found.thinnest_mm, unit)} at {found.thinnest_deg:.0f} deg past the part's mark.",
            "A wobble does not move it; two tips have to stand exactly opposite with matched gains.",
        ]
    )


def end_float_text(found: EndFloat, limit_as_written: str, unit: str) -> str:
    """Return the text of ``endfloat``."""
    answer = f"End float {format_both(found.float_mm, unit)} over {found.cycles} push(es) and pull(s)"
    if found.share_of_limit is None or found.state is None:
        lines = [f"{answer}; no limit was entered to hold it against."]
    else:
        lines = [
            f"{answer}: {found.share_of_limit:.2f} of the limit {printable(limit_as_written)}, "
            f"{GATE_WORDS[found.state]}."
        ]
    each = ", ".join(format_length(one, unit) for one in found.each_mm[:12])
    lines.append(f"Each: {each}; standard uncertainty {format_length(found.u_float_mm, unit)}.")
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
