"""A sweep's result, or one number, held against a limit that is entered afterwards."""

from collections.abc import Sequence
from typing import Any

from analysis.decision import Decision, Witness, decide as decide_number, limit_at_track
from analysis.errors import BadInput, NotDecidable
from analysis.numerics import UncertainNumber
from analysis.results import SweepResult
from analysis.setup import Quantity, make_limit
from analysis.sweep.conformity import check_limit
from analysis.units import Length, parse_length, to_mm


def decide(
    what: SweepResult | UncertainNumber,
    limit: Any,
    *,
    quantity: str = Quantity.TIR,
    limit_as_written: str = "",
    witnesses: Sequence[Witness] = (),
    refused: Sequence[str] = (),
) -> Decision:
    """Decide a sweep's result, or one uncertain length, against a limit at its track.

    Parameters: a result brings its own witnesses, refused checks and look along; of a bare number they are
    handed over. ``limit`` as text with its unit (``"0.050 mm"``), as a number of mm or a pint length. Checks
    stay as they were found, against the result's own limit or TIR. Raises BadInput for a limit not above zero
    or of a quantity no sweep of this surface has, NotDecidable at a stage that decides nothing.
    """
    if isinstance(limit, str):
        length = parse_length(limit, "limit")
    else:
        mm = float(to_mm(limit, "limit"))
        length = Length(mm, "mm", limit_as_written or f"{mm:.12g} mm")
    if isinstance(what, UncertainNumber):
        return decide_number(
            what,
            length.mm,
            quantity=quantity,
            limit_as_written=limit_as_written or (limit if isinstance(limit, str) else ""),
            witnesses=witnesses,
            refused=refused,
        )
    if witnesses or refused:
        raise BadInput("a sweep's result has its own witnesses and refused checks: leave them out")
    entered = make_limit(length, quantity, surface=what.setup.surface)
    check_limit(entered, what.setup)
    if what.why_no_decision:
        raise NotDecidable(f"nothing is decided at this stage: {what.why_no_decision}")
    limit_mm, _ = limit_at_track(entered, what.setup)
    return what.decidable[entered.quantity].against(limit_mm, entered.quantity, length.as_written)
