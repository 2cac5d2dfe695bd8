"""Every command of the screen, declared once: its key, its footer label, its line of help, its palette entry.

Also the rule of the keys: a press counts only if that key, counted or not, has not arrived for 0.7 s, so a
held key is one press; capital and small letters are one key.
"""

from dataclasses import dataclass

APART_S = 0.7


LATHE_STAGES = ("on the lathe", "after cut", "half turn")
"""Only there is an arbor with a mark of its own."""


@dataclass(frozen=True, slots=True)
class Order:
    """One command."""

    name: str
    keys: tuple[str, ...]
    label: str
    """Short, for the footer."""
    help: str
    footer: bool = False
    lathe_only: bool = False
    replay_only: bool = False
    steps_only: bool = False
    """Means something on the page Steps alone (one of them on Screws too)."""


ORDERS = (
    Order("next", ("space", "pagedown", "enter"), "next", "do what the bottom line says", True),
    Order("mark", ("m",), "mark", "the part's mark is under the tip now", True),
    Order("arbor", ("a",), "arbor", "the arbor's mark is under the tip now (lathe steps)", True, True),
    Order("zero", ("z",), "zero", "let the reading count from here (display only)", True),
    Order("find", ("f",), "find", "find a spot: arrow, degrees to go, HERE", True),
    Order("quit", ("q",), "quit", "end; asks while a named recording runs", True),
    Order("turning", ("1", "f1"), "Turning", "reading, TIR, strip"),
    Order("setup", ("2", "f2"), "Set-up", "part, limit, gauge; 20-second check; learn the encoder"),
    Order("steps", ("3", "f3"), "Steps", "the guided job, from as found to as left"),
    Order("compare", ("4", "f4"), "Compare", "two stored turns and their difference"),
    Order("owner", ("5", "f5"), "Owner", "part, seat, spindle and dirt, from the job's sweeps"),
    Order("numbers", ("6", "f6"), "Numbers", "every number, each opens into its formula"),
    Order("clear", ("c",), "clear", "begin high and low so far anew"),
    Order("units", ("i",), "in/mm", "every number in inches or in millimetres"),
    Order("name", ("r",), "name", "name the recording, and keep it"),
    Order("leave-out", ("x",), "leave out", "leave the last turn or a window out, with a reason"),
    Order("undo", ("u",), "undo", "take the last Z, C, M, A, X or star back"),
    Order("lock", ("l",), "lock", "lock or unlock the keys"),
    Order("bells", ("b",), "bells", "bells on or off: 1 turn clear, 2 crossed the limit, 3 HERE"),
    Order("wall", ("w",), "wall", "wall view for a class"),
    Order("typed", ("t",), "typed", "type readings of a dial, place after place"),
    Order("screws", ("s",), "screws", "dial in screws, jaws or shims, one after the other"),
    Order("step-back", ("pageup",), "step back", "Steps: back to the step before", steps_only=True),
    Order("again", ("g",), "again", "Steps: sweep this step again; the last one counts", steps_only=True),
    Order("another", ("n",), "new mounting", "Steps: mount it once more; all are kept", steps_only=True),
    Order("skip", ("k",), "skip", "Steps: leave this step out, or leave it at that", steps_only=True),
    Order("enter", ("e",), "enter", "Steps: type stock, minimum ...; Screws: type angles", steps_only=True),
    Order("anew", ("v",), "job anew", "Steps: put this job aside and begin it anew", steps_only=True),
    Order("round", ("o",), "round", "round view instead of the strip"),
    Order("light", ("d",), "dark/light", "dark or light colours"),
    Order("thick", ("y",), "thick", "thicker trace, for glare"),
    Order("pause", ("p",), "pause", "replay: pause and go on", replay_only=True),
    Order("step", ("full_stop", "."), "step", "replay: a little further while paused", replay_only=True),
    Order("faster", ("plus", "+"), "faster", "replay: twice as fast", replay_only=True),
    Order("slower", ("minus", "-"), "slower", "replay: half as fast", replay_only=True),
    Order("jump", ("j",), "jump", "replay: jump to a turn", replay_only=True),
    Order("help", ("h", "question_mark", "?", "f12"), "help", "this list"),
    Order("back", ("escape", "backspace"), "back", "back to where you were"),
    Order("up", ("up",), "up", "choose the one above"),
    Order("down", ("down",), "down", "choose the one below"),
    Order("left", ("left",), "left", "the value before"),
    Order("right", ("right",), "right", "the value after"),
)
BY_NAME = {order.name: order for order in ORDERS}
_BY_KEY = {key: order for order in ORDERS for key in order.keys}
_WALK = ("up", "down", "left", "right")
"""Moving about in a list may repeat: nothing is done by it."""


def order_of(key: str) -> Order | None:
    """Return the command of a key, capital or small; None where it has none."""
    return _BY_KEY.get(key.lower())


def listed_orders(kind: str) -> list[Order]:
    """Return the commands that help lists at a desk of this kind: those of a replay only in one."""
    return [order for order in ORDERS if not order.replay_only or kind == "replay"]


def key_name(order: Order) -> str:
    """Return how a key is written for a person."""
    names = {"space": "SPACE", "escape": "Esc", "full_stop": ".", "plus": "+", "minus": "-"}
    key = order.keys[0]
    return names.get(key, key.upper() if len(key) == 1 else key.capitalize())


class KeyGate:
    """Lets a key through once, however long it is held."""

    def __init__(self) -> None:
        self._last: dict[str, float] = {}

    def passes(self, key: str, now_s: float) -> bool:
        """Tell whether this arrival of a key counts; it is remembered either way."""
        key = key.lower()
        before = self._last.get(key)
        self._last[key] = now_s
        return key in _WALK or before is None or now_s - before >= APART_S
