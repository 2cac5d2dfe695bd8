"""What one part of a batch was told, as read from the object that every sweep prints and the store keeps."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from analysis.capture import AngleSource
from analysis.decision import DecisionState
from analysis.results import CheckState
from analysis.setup import Stage
from logger.reports.phrases import STATE_WORDS

REFUSED, SHORT, NO_LIMIT = "refused", "short", "no decision"

_WORDS = {REFUSED: "refused by a check", SHORT: "cut short"}


@dataclass(frozen=True, slots=True)
class MeasuredPart:
    """One sweep of one part; lengths in mm, angles in degrees."""

    serial: str
    """Empty where its set-up names none."""
    part: str
    stage: str
    tir_mm: float
    tir_low_mm: float
    tir_high_mm: float
    """95 % interval: every line of the budget where a limit was given, the sweep alone where none was."""
    limit_mm: float | None
    state: str
    """``within``, ``over``, ``undecided``, ``refused``, ``short`` of turns, or ``no decision``."""
    why: str
    """Why it was refused, is short or not decided, with what to do; else empty."""
    in_doubt: str
    """Checks that are not clear, with their state; ``clear`` where all are."""
    file: str
    recording_id: str
    mounting: int = 1
    """Which time it was put on."""
    first_mm: complex | None = None
    """Order 1 from the mark, cos and sin; None where its angles count from no mark."""

    @property
    def words(self) -> str:
        """The state in words."""
        return _WORDS.get(self.state) or STATE_WORDS.get(self.state, self.state)

    @property
    def counts(self) -> bool:
        """Tell whether the part has been measured by it: what is refused or cut short is measured again."""
        return self.state not in (REFUSED, SHORT)

    @property
    def of_batch(self) -> bool:
        """Tell whether it is of a part of the batch, put on for the first time."""
        return bool(self.serial) and not self.is_check and self.mounting == 1

    @property
    def is_check(self) -> bool:
        """Tell whether it is of a check standard."""
        return self.stage == Stage.CHECK_STANDARD

    @property
    def is_second(self) -> bool:
        """Tell whether its part had been measured, and was put on again."""
        return bool(self.serial) and not self.is_check and self.mounting > 1


def measured_part(found: Mapping[str, Any]) -> MeasuredPart:
    """Return it from the object of ``sweep``."""
    setup, decision, pooled = found["setup"], found["decision"], found["pooled"]
    not_clear = [check for check in found["checks"] if check["state"] != CheckState.CLEAR]
    refused = next((check for check in not_clear if check["state"] == CheckState.REFUSED), None)
    number, (low, high) = (
        (decision["value_mm"], decision["interval_mm"])
        if decision
        else (pooled["tir_fit_mm"], pooled["tir_fit_95_mm"])
    )
    state, why = decision["state"] if decision else NO_LIMIT, ""
    planned, mounting = setup.get("turns_planned", ""), setup.get("mounting", "1")
    if refused is not None:
        state, why = REFUSED, refused["text"] + (f" -> {refused['do']}" if refused["do"] else "")
    elif planned.isdecimal() and len(found["turns"]) < int(planned):
        state, why = SHORT, f"{len(found['turns'])} of {planned} turns"
    elif decision and decision["state"] == DecisionState.UNDECIDED:
        why = decision["why"]
    return MeasuredPart(
        serial=setup.get("serial", ""),
        part=setup.get("part", ""),
        stage=setup.get("stage", ""),
        tir_mm=number,
        tir_low_mm=low,
        tir_high_mm=high,
        limit_mm=decision["limit_mm"] if decision else None,
        state=state,
        why=why,
        in_doubt=", ".join(f"{check['name']} {check['state']}" for check in not_clear) or "clear",
        file=found["file"],
        recording_id=found["recording_id"] or "",
        mounting=int(mounting) if mounting.isdecimal() else 1,
        first_mm=_first_order(found),
    )


def _first_order(found: Mapping[str, Any]) -> complex | None:
    orders = found["pooled"].get("orders") or ()
    first = next((one for one in orders if one["n"] == 1), None)
    if first is None or not AngleSource(found["angle_source"]).has_mark:
        return None
    return complex(first["cos_mm"], first["sin_mm"])
