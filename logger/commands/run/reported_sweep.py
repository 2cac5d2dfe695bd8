"""One loaded sweep analysed, with the object, the text and the exit status that a command gives back.

What most sweeps do without is named by its room: it is loaded when it is first used.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from analysis import separation
from analysis.capture import Window
from analysis.decision import DecisionState
from analysis.errors import BadInput
from analysis.numerics import OrderVectors
from analysis.results import SweepResult
from analysis.setup import Surface
from analysis.sweep import Options, analyse
from logger import reports
from logger.commands.emitting import with_provenance
from logger.commands.exit_status import status_of
from logger.inputs import LoadedSweep
from logger.reports.phrases import layout


@dataclass(frozen=True)
class ReportedSweep:
    """One sweep analysed, as it is printed."""

    result: SweepResult
    as_json: dict[str, Any]
    text: str
    limit_typed: bool = False
    """A limit was given with the command itself, which asks for a decision."""

    @property
    def state(self) -> str | None:
        """State of its decision; None where no limit was given or the stage has none."""
        return self.result.decision.state if self.result.decision else None

    @property
    def dof(self) -> float | None:
        """Degrees of freedom of the number that was decided on; None where nothing was."""
        return self.result.decision.number.dof if self.result.decision else None

    @property
    def status(self) -> int:
        """Exit status of its decision; of a typed limit at a stage that decides nothing, of undecided."""
        if self.result.why_no_decision and self.limit_typed:
            return status_of(DecisionState.UNDECIDED)
        return status_of(self.state)

    def headed(self, line: str) -> "ReportedSweep":
        """Return it with a line above its text."""
        return replace(self, text=f"{line}\n{self.text}")

    def with_part(self, key: str, as_json: dict[str, Any], text: str) -> "ReportedSweep":
        """Return it with one key and one paragraph more."""
        more = f"{self.text}\n\n{text}" if text else self.text
        return replace(self, as_json={**self.as_json, key: as_json}, text=more)


def report_sweep(
    loaded: LoadedSweep,
    unit: str,
    *,
    orders: int | None = None,
    leave_out: Sequence[Window] = (),
    stages: bool = False,
    sag: OrderVectors | None = None,
    second: tuple[LoadedSweep, float] | None = None,
    limit_typed: bool = False,
) -> ReportedSweep:
    """Analyse a sweep and say what it says. Raises BadInput.

    ``sag`` holds the orders of a carried indicator; ``second`` is the opposed tip's sweep and by how many
    degrees it reads further on; ``limit_typed`` says that the command itself has named a limit.
    """
    capture = loaded.capture
    options = Options(
        orders=orders,
        leave_out=tuple(leave_out),
        measured_on=loaded.origin.measured_on(date.today()),
    )
    if sag is not None:
        capture, other = separation.without_sag(capture, sag)
        options = replace(options, other=other)
    if second is None:
        return _reported(analyse(capture, options), loaded, unit, stages, limit_typed)
    if loaded.capture.setup.surface != Surface.FACE:
        raise BadInput("--opposed is for two tips on one face: on an outside or bore they see no axial walk")
    other_tip, apart_deg = second
    tips = separation.analyse_two_tips(capture, other_tip.capture, options, apart_deg=apart_deg)
    return _reported(tips.result, loaded, unit, stages, limit_typed).with_part(
        "opposed", reports.two_tips.as_json(tips), layout(reports.two_tips.as_text(tips, unit))
    )


def _reported(
    result: SweepResult, loaded: LoadedSweep, unit: str, stages: bool, limit_typed: bool
) -> ReportedSweep:
    result = replace(result, stages=(*loaded.stages, *result.stages))
    text = reports.sweep.as_text(result, unit, stages=stages)
    return ReportedSweep(
        result,
        {
            **reports.sweep.as_json(result, loaded.origin, loaded.capture.link),
            "provenance": reports.provenance.as_json([loaded.origin]),
        },
        layout(with_provenance(text, [loaded.origin], [result.setup])),
        limit_typed,
    )
