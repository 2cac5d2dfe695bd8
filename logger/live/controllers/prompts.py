"""Commands that need a line to be typed, whichever page is open: name, reason, turn, and whether to end."""

from collections.abc import Callable

from analysis.capture import parse_window
from analysis.errors import BadInput
from analysis.units import parse_number
from logger.live.controllers.controller import PageContext
from logger.live.state.actions import VIEW_ONLY
from logger.live.state.replay_control import ReplayControl


def end(table: PageContext, over: Callable[[], None]) -> None:
    """Call ``over`` at once, or once somebody says yes where a named recording runs."""
    named = table.desk.named
    if named is None or table.desk.ended:
        over()
        return

    def take(line: str) -> None:
        if line.strip().lower() in ("y", "yes"):
            over()

    table.ask(f"{named.name} is being recorded: end it?", "y = end, n = go on", take)


def name(table: PageContext) -> None:
    """Ask for the name under which the recording is kept."""
    desk = table.desk
    if desk.recorder is None:
        desk.say(VIEW_ONLY if desk.kind == "follow" else "a replay: it has a name already")
        return

    def take(line: str) -> None:
        desk.acts.name_recording(line, table.data_folder)

    hint = "letters, digits, - and _; unnamed recordings are kept for 14 days"
    table.ask("Name of this recording", hint, take)


def leave_out(table: PageContext) -> None:
    """Ask why the last turn, or which window why, is to be left out."""
    desk = table.desk
    if desk.kind == "follow":
        desk.say(VIEW_ONLY)
        return

    def take(line: str) -> None:
        words = line.strip()
        if not words:
            raise BadInput("a reason is needed: nothing is left out without one")
        if "=" in words:
            window = parse_window(words)
            desk.acts.leave_window_out(window.start_deg, window.end_deg, window.reason)
        else:
            desk.acts.leave_turn_out(words)

    table.ask("Leave out, and why", "why, for the last full turn; or a window: 40:52=keyway", take)


def jump(table: PageContext, replay: ReplayControl) -> None:
    """Ask for the turn of a replay to go on from."""

    def take(line: str) -> None:
        table.desk = replay.jump(int(parse_number(line, "turn")), table.desk)

    table.ask("Jump to the start of which turn?", f"1 to {replay.turns}", take)
