"""What a late gauge does to what several sweeps tell together, as a sentence and as JSON."""

from typing import Any

from analysis.separation import LateGauge
from analysis.uncertainty import BudgetLine
from analysis.units import format_length


def as_json(late: LateGauge, text: str) -> dict[str, Any]:
    """Return the object ``late_gauge``: nulls where every sweep's delay is told, or none was turned."""
    return {
        "latest_s": late.latest_s or None,
        "common_deg": late.common_deg or None,
        "text": text or None,
    }


def in_short(late: LateGauge) -> str:
    """Return the same in one short sentence, for a page; empty where every delay is told."""
    if not late.latest_s:
        return ""
    if not late.common_deg:
        return "Nothing tells how late the gauge is, and speeds differ: every number here is wider for it."
    side = "before" if late.common_deg > 0.0 else "past"
    return (
        f"Nothing tells how late the gauge is: angles here may lie up to {abs(late.common_deg):.1f} deg "
        f"{side} their place."
    )


def sentence(late: LateGauge, lines: tuple[BudgetLine, ...], unit: str) -> str:
    """Return what is said of a delay that nothing tells, without the closing full stop; empty where it is.

    Parameters: ``lines`` those of the length that is told.
    """
    if not late.latest_s:
        return ""
    start = f"nothing tells how late the gauge is (at most {1000 * late.latest_s:.0f} ms)"
    if late.common_deg:
        return (
            f"{start}: turned at one speed and one way round, it turns all these sweeps alike. Between them "
            f"that cancels; every angle told here may lie up to {abs(late.common_deg):.1f} deg "
            f"{'before' if late.common_deg > 0.0 else 'past'} its place, and is told that much wider on that "
            "side"
        )
    moved = [line.part.shift * 2.0 for line in lines if line.part.one_sided]
    if not moved:
        return f"{start}: angles told here are wider by it on one side"
    low, high = (format_length(end, unit) for end in (min(0.0, *moved), max(0.0, *moved)))
    return (
        f"{start}, and these sweeps were not all turned at one speed and one way round: it may move this TIR "
        f"by {low} to {high}, which is counted in. Set gauge_delay, or turn them alike"
    )
