"""Which mark the angles count from at this moment, and which turns of other recordings count from it too."""

from dataclasses import dataclass

from analysis.capture import AngleSource
from analysis.setup import MarkKind
from logger.session.scaling import count_at_zero
from logger.session.sweep_links import Links


@dataclass(frozen=True, slots=True)
class MarkInForce:
    """One mark. Two that are equal are the same; two that differ may still stand at the same line."""

    board: str
    """The board, and which of its boots where the mark is a count of it; empty for a gauge without a name."""
    place: str
    """The side it is on, and the count, the index pulse or the stop it is."""

    def identity(self, recording_id: str) -> str:
        """Return it as one text; without a board a mark is known in its own recording only."""
        return f"{self.board or recording_id} {self.place}"


def mark_in_force(links: Links) -> MarkInForce | None:
    """Return the mark that angles count from now; None where they count from none."""
    side, hello = links.setup.mark_on, links.gauge.hello
    match links.source:
        case AngleSource.ENCODER:
            boots = links.counting.boots
            by_index = links.setup.mark == MarkKind.INDEX and bool(boots[-1].pulses)
            if by_index and all(mark.on != side for mark in boots[-1].marks):
                return MarkInForce(f"{hello.device_id:08x}" if hello else "", f"{side} index")
            zero = count_at_zero(boots[-1], links.setup, links.counts_per_turn, first_boot=len(boots) == 1)
            if zero is None:
                return None
            board = f"{hello.device_id:08x}/{hello.boot_id:08x}" if hello else ""
            return MarkInForce(board, f"{side} count {zero:.0f}")
        case AngleSource.INDEX:
            return MarkInForce(f"{hello.device_id:08x}" if hello else "", f"{side} index")
        case AngleSource.STOPS:
            return MarkInForce("", f"{side} first stop")
    return None
