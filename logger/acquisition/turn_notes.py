"""What the events of one recording note of its turns for the store: stars, left out, either taken back."""

from dataclasses import dataclass, field

from analysis.capture.events import ExclusionUndone, StarUndone, TurnExcluded, TurnStarred, WindowExcluded
from logger.acquisition.worker_messages import EventTaken


@dataclass(frozen=True)
class TurnNote:
    """One note of one turn."""

    turn: int
    kind: str
    """As in the store's table: the event's own word."""
    reason: str
    wall_ns: int
    """When it was noted, by the host's clock."""


@dataclass
class TurnNotes:
    """Turns events into notes, while a recording is made and when it is played again alike."""

    _left_out: dict[int | None, TurnExcluded] = field(default_factory=dict)
    """By the number under which it can be taken back."""

    def of(self, taken: EventTaken) -> TurnNote | None:
        """Return what an event notes of a turn; None where it notes nothing of one."""
        match taken.event:
            case TurnStarred(turn=turn) | StarUndone(turn=turn):
                return self._note(turn, taken)
            case TurnExcluded() as excluded:
                self._left_out[excluded.id] = excluded
                return self._note(excluded.turn, taken, excluded.reason)
            case WindowExcluded(id=number):
                self._left_out.pop(number, None)
            case ExclusionUndone(id=number):
                gone = self._left_out.pop(number, None)
                return self._note(gone.turn, taken) if gone else None
        return None

    @staticmethod
    def _note(turn: int | None, taken: EventTaken, reason: str = "") -> TurnNote | None:
        if turn is None:
            return None
        return TurnNote(turn, taken.event.KIND, reason, taken.host.wall_ns)
