"""What each command of the screen asks for, by the command's name: the one table between keys and intents."""

from collections.abc import Mapping

from analysis.setup import MarkSide
from logger.live.controllers import window_intents as window
from logger.live.controllers.window_intents import AnyIntent
from logger.live.state.messages import ClearExtremes, TouchMark, Undo, ZeroReading

INTENTS: Mapping[str, AnyIntent] = {
    "next": window.Primary(),
    "mark": TouchMark(MarkSide.PART),
    "arbor": TouchMark(MarkSide.ARBOR),
    "zero": ZeroReading(),
    "find": window.OpenPage("spots"),
    "quit": window.EndWindow(),
    **{
        page: window.OpenPage(page)
        for page in ("turning", "setup", "steps", "compare", "owner", "numbers", "batch", "screws", "typed")
    },
    "clear": ClearExtremes(),
    "units": window.SwitchUnits(),
    "name": window.AskName(),
    "leave-out": window.AskExclusion(),
    "undo": Undo(),
    "lock": window.ToggleLock(),
    "bells": window.ToggleBells(),
    "wall": window.TogglePage("wall"),
    **{name: window.PageCommand(name) for name in ("step-back", "again", "another", "skip", "enter", "anew")},
    "round": window.ToggleOption("round"),
    "light": window.ToggleOption("light"),
    "thick": window.ToggleOption("thick"),
    "pause": window.SteerReplay("pause"),
    "step": window.SteerReplay("step"),
    "faster": window.SteerReplay("faster"),
    "slower": window.SteerReplay("slower"),
    "jump": window.AskTurn(),
    "help": window.TogglePage("help"),
    "back": window.Back(),
    "up": window.Choose(-1),
    "down": window.Choose(1),
    "left": window.ChangeValue(-1),
    "right": window.ChangeValue(1),
}
