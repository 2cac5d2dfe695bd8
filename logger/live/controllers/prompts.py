"""Commands that need a line to be typed, whichever page is open: name, reason, turn, and whether to end."""

from collections.abc import Callable

from analysis.capture import parse_window
from analysis.errors import BadInput
from analysis.units import parse_number
from logger.live.controllers.controller import PageContext
from logger.live.state.actions import VIEW_ONLY
from logger.live.state.replay_control import ReplayControl


def end(context: PageContext, over: Callable[[], None]) -> None:
    """Call ``over`` at once, or once somebody says yes where a named recording runs."""
    named = context.runtime.named
    if named is None or context.runtime.ended:
        over()
        return

    def take(line: str) -> None:
        if line.strip().lower() in ("y", "yes"):
            over()

    context.ask(f"{named.name} is being recorded: end it?", "y = end, n = go on", take)


def name(context: PageContext) -> None:
    """Ask for the name under which the recording is kept."""
    runtime = context.runtime
    if runtime.recorder is None:
        runtime.say(VIEW_ONLY if runtime.kind == "follow" else "a replay: it has a name already")
        return

    def take(line: str) -> None:
        runtime.acts.name_recording(line, context.data_folder)

    hint = "letters, digits, - and _; unnamed recordings are kept for 14 days"
    context.ask("Name of this recording", hint, take)


def leave_out(context: PageContext) -> None:
    """Ask why the last turn, or which window why, is to be left out."""
    runtime = context.runtime
    if runtime.kind == "follow":
        runtime.say(VIEW_ONLY)
        return

    def take(line: str) -> None:
        words = line.strip()
        if not words:
            raise BadInput("a reason is needed: nothing is left out without one")
        if "=" in words:
            window = parse_window(words)
            runtime.acts.leave_window_out(window.start_deg, window.end_deg, window.reason)
        else:
            runtime.acts.leave_turn_out(words)

    context.ask("Leave out, and why", "why, for the last full turn; or a window: 40:52=keyway", take)


def jump(context: PageContext, replay: ReplayControl) -> None:
    """Ask for the turn of a replay to go on from."""

    def take(line: str) -> None:
        context.runtime = replay.jump(int(parse_number(line, "turn")), context.runtime)

    context.ask("Jump to the start of which turn?", f"1 to {replay.turns}", take)
