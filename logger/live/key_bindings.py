"""Every command of the screen, declared once: key, footer label, line of help, palette entry."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KeyCommand:
    """One command."""

    name: str
    keys: tuple[str, ...]
    label: str
    """Short, for the footer."""
    help: str
    footer: bool = False
    lathe_only: bool = False
    at_board: bool = False
    """Changes the measurement: nothing where the board is not this window's own."""
    replay_only: bool = False
    pages: tuple[str, ...] = ()
    """Means something on these pages alone; empty: on every one."""
    common: bool = False
    """Wanted often: help names it at once."""


_STEPS = ("steps",)
_LISTS = ("setup", "compare", "numbers", "spots", "steps", "typed")


KEY_COMMANDS = (
    KeyCommand("next", ("space", "pagedown", "enter"), "next", "do what the bottom line says", True),
    KeyCommand("mark", ("m",), "mark", "the part's mark is under the tip now", True, at_board=True),
    KeyCommand("arbor", ("a",), "arbor", "the arbor's mark is under the tip now (lathe)", True, True, True),
    KeyCommand("zero", ("z",), "zero", "let the reading count from here (display only)", True, at_board=True),
    KeyCommand("find", ("f",), "find", "find a spot: arrow, degrees to go, HERE", True),
    KeyCommand("quit", ("q",), "quit", "end, asked for twice: what is recorded is kept", True),
    KeyCommand("turning", ("1", "f1"), "Turning", "reading, TIR, strip"),
    KeyCommand("setup", ("2", "f2"), "Set-up", "part, limit, gauge; 20-second check; learn the encoder"),
    KeyCommand("steps", ("3", "f3"), "Steps", "the guided job, from as found to as left"),
    KeyCommand("compare", ("4", "f4"), "Compare", "two stored turns and their difference"),
    KeyCommand("owner", ("5", "f5"), "Owner", "part, seat, spindle and dirt, from the job's sweeps"),
    KeyCommand("numbers", ("6", "f6"), "Numbers", "every number, each opens into its formula"),
    KeyCommand("batch", ("7", "f7"), "Batch", "many parts of one kind, one after another by serial"),
    KeyCommand("clear", ("c",), "clear", "begin high and low so far anew", at_board=True),
    KeyCommand("units", ("i",), "in/mm", "every number in inches or in millimetres", common=True),
    KeyCommand("name", ("r",), "name", "name the recording, and keep it", at_board=True, common=True),
    KeyCommand(
        "leave-out",
        ("x",),
        "leave out",
        "leave a turn or a window out, with a reason",
        at_board=True,
        common=True,
    ),
    KeyCommand(
        "undo", ("u",), "undo", "take the last Z, C, M, A, X or star back, twice", at_board=True, common=True
    ),
    KeyCommand("lock", ("l",), "lock", "lock the keys; twice: unlock them", common=True),
    KeyCommand("bells", ("b",), "bells", "bells on or off: 1 turn clear, 2 over the limit, 3 HERE"),
    KeyCommand("wall", ("w",), "wall", "wall view for a class", common=True),
    KeyCommand("typed", ("t",), "typed", "type readings of a dial, place after place"),
    KeyCommand("screws", ("s",), "screws", "dial in screws, jaws or shims, one after the other"),
    KeyCommand("step-back", ("pageup",), "step back", "Steps: back to the step before", pages=_STEPS),
    KeyCommand("again", ("g",), "again", "Steps: sweep this step again; the last one counts", pages=_STEPS),
    KeyCommand("another", ("n",), "new mounting", "Steps: mount it once more; all are kept", pages=_STEPS),
    KeyCommand("skip", ("k",), "skip", "Steps: leave this step out, or go on without it", pages=_STEPS),
    KeyCommand(
        "enter",
        ("e",),
        "enter",
        "Steps: type stock, minimum ...; Screws: type angles",
        pages=("steps", "screws"),
    ),
    KeyCommand("anew", ("v",), "job anew", "Steps: put this job aside and begin it anew", pages=_STEPS),
    KeyCommand("round", ("o",), "round", "round view instead of the strip"),
    KeyCommand("light", ("d",), "dark/light", "dark or light colours"),
    KeyCommand("thick", ("y",), "thick", "thicker trace, for glare"),
    KeyCommand("pause", ("p",), "pause", "replay: pause and go on", replay_only=True),
    KeyCommand("step", ("full_stop", "."), "step", "replay: a little further while paused", replay_only=True),
    KeyCommand("faster", ("plus", "+"), "faster", "replay: twice as fast", replay_only=True),
    KeyCommand("slower", ("minus", "-"), "slower", "replay: half as fast", replay_only=True),
    KeyCommand("jump", ("j",), "jump", "replay: jump to a turn", replay_only=True),
    KeyCommand("help", ("h", "question_mark", "?", "f12"), "help", "this list"),
    KeyCommand("back", ("escape", "backspace"), "back", "back to where you were", common=True),
    KeyCommand("up", ("up",), "up", "choose the one above", pages=_LISTS),
    KeyCommand("down", ("down",), "down", "choose the one below", pages=_LISTS),
    KeyCommand("left", ("left",), "left", "the value before", pages=("setup", "compare")),
    KeyCommand("right", ("right",), "right", "the value after", pages=("setup", "compare")),
)
BY_NAME = {command.name: command for command in KEY_COMMANDS}
_BY_KEY = {key: command for command in KEY_COMMANDS for key in command.keys}


def command_of(key: str) -> KeyCommand | None:
    """Return the command of a key, capital or small; None where it has none."""
    return _BY_KEY.get(key.lower())


REPLAY_FOOTER = (
    ("next", ""), ("left", " <-"), ("right", " -> turn "), ("step", " . on "), ("slower", " -"),
    ("faster", " + speed "), ("jump", " J jump "), ("quit", " Q end "),
)  # fmt: skip
"""The footer of a replay: names of commands, and what is written."""


def commands_here(page: str, *, replay: bool, at_board: bool, on_lathe: bool) -> list[KeyCommand]:
    """Return the commands that do something on this page of this window, the usual ones first."""
    acting = [
        command
        for command in KEY_COMMANDS
        if (replay or not command.replay_only)
        and (at_board or not command.at_board)
        and (on_lathe or not command.lathe_only)
        and (page in command.pages or not command.pages)
    ]
    return sorted(acting, key=lambda command: not (command.footer or command.pages or command.replay_only))


def key_name(command: KeyCommand) -> str:
    """Return how a key is written for a person."""
    names = {"space": "SPACE", "escape": "Esc", "full_stop": ".", "plus": "+", "minus": "-"}
    key = command.keys[0]
    return names.get(key, key.upper() if len(key) == 1 else key.capitalize())
