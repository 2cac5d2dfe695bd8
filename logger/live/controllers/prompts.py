"""Prompts for a typed line, whichever page is open; and what is said before a second press."""

from analysis.capture import parse_window
from analysis.errors import BadInput
from analysis.units import parse_number
from logger.live.batch.batch_guide import BatchGuide
from logger.live.controllers.controller import PageContext
from logger.live.controllers.window_intents import JumpTo
from logger.live.drawing.lengths import length
from logger.live.state.intent_rules import VIEW_ONLY
from logger.live.state.messages import ExcludeTurn, ExcludeWindow, NameRecording, ShowText
from logger.live.state.state import LiveState, Role


def before_second_press(name: str, state: LiveState, batch: BatchGuide, *, locked: bool) -> str:
    """Return what a second press of this command will do; empty where one is enough."""
    if name == "quit":
        return _before_end(state, batch)
    if name == "undo":
        return _before_undo(state)
    return "L again unlocks." if name == "lock" and locked else ""


def _before_end(state: LiveState, batch: BatchGuide) -> str:
    """Return what a second Q will do: what runs, and what is kept."""
    path = state.named or state.recording
    if batch.under_way:
        return f"Q again ends. {batch.what_runs}; what is measured is kept."
    if path is None or state.ended:
        return "Q again ends."
    return f"Q again ends. Kept: {path.name}"


def _before_undo(state: LiveState) -> str:
    """Return what a second U will take back; empty where there is nothing, or no right to."""
    return f"U again takes back: {state.undo[-1].what}" if state.undo and state.role.may_act else ""


def name(context: PageContext) -> None:
    """Ask for the name under which the recording is kept."""
    state = context.state
    if state.recording is None:
        context.send(ShowText(VIEW_ONLY if state.role is Role.FOLLOW else "a replay: it has a name already"))
        return

    def take(line: str) -> None:
        context.send(NameRecording(line))

    hint = "letters, digits, - and _; unnamed recordings stay too, in a folder of their own"
    context.ask("Name of this recording", hint, take)


def exclusion(context: PageContext) -> None:
    """Ask why the last turn, or which window why, is not to count."""
    if not context.state.role.may_act:
        context.send(ShowText(VIEW_ONLY))
        return

    meant = context.state.sweep.heading

    def take(line: str) -> None:
        words = line.strip()
        if not words:
            raise BadInput("a reason is needed: nothing is left out without one")
        context.send(ExcludeWindow(parse_window(words)) if "=" in words else ExcludeTurn(words, meant))

    title = "Leave out a window"
    if meant is not None:
        tir = length(meant.result.tir_raw_mm, context.options.unit)
        title = f"Leave out turn {meant.result.turn + 1}, TIR {tir}"
    context.ask(title, "why; or a window: 40:52=keyway", take)


def turn(context: PageContext, turns: int) -> None:
    """Ask for the turn of a replay to go on from."""

    def take(line: str) -> None:
        context.send(JumpTo(int(parse_number(line, "turn"))))

    context.ask("Jump to the start of which turn?", f"1 to {turns}", take)
