"""The number of a stored recording: what was held against its limit, else what its sweep says."""

from collections.abc import Mapping
from dataclasses import dataclass

from analysis.setup import Quantity
from analysis.store.rows import StoredSweep

STORED_QUANTITIES: Mapping[str, tuple[str, str]] = {
    Quantity.TIR: ("tir_fit_mm", "tir_fit_95_mm"),
    Quantity.TIR_FIRST: ("tir_first_mm", "tir_first_95_mm"),
    Quantity.ECCENTRICITY: ("eccentricity_mm", "eccentricity_95_mm"),
    Quantity.FORM: ("form_mm", "form_95_mm"),
}
"""Where the result of a sweep has a quantity, and its interval of that sweep alone."""


@dataclass(frozen=True, slots=True)
class StoredNumber:
    """One quantity of one recording."""

    quantity: str
    value_mm: float
    low_mm: float | None
    high_mm: float | None
    """95 %: with all lines of the budget where the quantity was decided on, else of the sweep alone."""
    limit_mm: float | None
    """Of this quantity; None where none was entered."""


def stored_number(sweep: StoredSweep, quantity: str | None = None) -> StoredNumber | None:
    """Return a quantity, without a name that which was decided on, else the TIR; None where there is none."""
    result = sweep.result or {}
    pooled, decision = result.get("pooled") or {}, result.get("decision") or {}
    quantity = quantity or str(decision.get("quantity") or Quantity.TIR)
    key, key_95 = STORED_QUANTITIES[quantity]
    value, ends, limit_mm = pooled.get(key), pooled.get(key_95), None
    if decision.get("quantity") == quantity:
        limit_mm = decision.get("limit_mm")
        if decision.get("value_mm") is not None:
            value, ends = decision["value_mm"], decision.get("interval_mm")
    if value is None:
        return None
    low, high = ends or (None, None)
    return StoredNumber(quantity, value, low, high, limit_mm)
