"""What every page has: the head line, the line that says what SPACE does, the footer with its six keys."""

from collections.abc import Sequence

from logger.live.drawing.display_options import LEAST_HEIGHT, LEAST_WIDTH, DisplayOptions
from logger.live.drawing.rows import Row, Span, cells, fit, harmless, shortened
from logger.live.key_bindings import BY_NAME, KEY_COMMANDS, REPLAY_FOOTER, KeyCommand, key_name
from logger.live.state.state import Role
from logger.live.state.view import ReplayPosition, View

HELP = " H help "
CAUTION = "Turn by hand, drive locked out; no gloves; touch only what stands still."


def head(view: View, title: str, width: int, options: DisplayOptions) -> Row:
    """Return the head line: whose measurement, which page, and whether it is recorded."""
    setup = view.setup
    who = [setup.part or "no part named", setup.stage, setup.surface]
    if setup.track_radius_mm:
        who.append(f"R {setup.track_radius_mm:g} mm")
    left = harmless("  " + ", ".join(one for one in who if one))
    right = f"{title}  {state_of_recording(view)} "
    room = max(0, width - cells(right))
    return (*((text, "head") for text, _ in fit(((left, "head"),), room)), (right, "head"))


def state_of_recording(view: View) -> str:
    """Return whether this is recorded, followed or replayed, in a few words."""
    if view.role is Role.FOLLOW:
        return "VIEW ONLY"
    if view.role is Role.REPLAY:
        if view.replaying is None:
            return "REPLAY"
        now = "paused" if view.replaying.paused else f"x{view.replaying.speed:g}"
        at = minutes_of(view.replaying.at_s)
        whole = f" of {minutes_of(view.replaying.lasts_s)}" if view.replaying.lasts_s else ""
        return f"REPLAY {at}{whole} {now}"
    if not view.recording:
        return "NOT RECORDING"
    return f"REC {minutes_of(view.recorded_s)}" + (" named" if view.named else "")


def minutes_of(seconds: float) -> str:
    """Return a time as minutes and seconds."""
    return f"{int(seconds) // 60}:{int(seconds) % 60:02d}"


def footer_items(view: View, primary_label: str) -> list[tuple[KeyCommand, str]]:
    """Return the footer's commands with their labels: only what does something here."""
    if view.role is Role.REPLAY:
        return [(BY_NAME[name], text or f" SPACE {primary_label} ") for name, text in REPLAY_FOOTER]
    lathe = view.setup.stage.on_lathe
    items = []
    for command in KEY_COMMANDS:
        if not command.footer or (command.lathe_only and not lathe):
            continue
        if command.at_board and not view.role.owns_board:
            continue
        label = primary_label if command.name == "next" else command.label
        items.append((command, f" {key_name(command)} {label} "))
    return items


def footer(
    view: View, primary_label: str, width: int, *, typing: bool = False
) -> tuple[Row, list[tuple[int, int, str]]]:
    """Return the footer and where each command can be clicked: (from, to, name of the command).

    What SPACE does is cut where there is no room for it: the line above says it whole. While something is
    typed no letter is a command, and none is offered; locked, only what unlocks.
    """
    if view.locked:
        return locked_row(width), [(0, width, "lock")]
    if typing:
        label = shortened(primary_label, width - cells(" SPACE  "))
        size = cells(f" SPACE {label} ")
        return fit(((" SPACE", "key"), (f" {label} ", "plain")), width), [(0, size, "next")]
    others = sum(cells(text) for command, text in footer_items(view, "") if command.name != "next")
    room = width - others - cells(HELP) - cells(" SPACE  ")
    spans: list[Span] = []
    places: list[tuple[int, int, str]] = []
    at = 0
    for command, text in footer_items(view, shortened(primary_label, room)):
        size = cells(text)
        places.append((at, at + size, command.name))
        key = text if not text.endswith(" ") else text[: text.index(" ", 1)]
        spans += [(key, "key"), (text[len(key) :], "plain")]
        at += size
    blank = max(0, width - at - cells(HELP))
    places.append((at + blank, width, "help"))
    return fit((*spans, (" " * blank, "plain"), (HELP, "dim")), width), places


def locked_row(width: int) -> Row:
    """Return all that a locked window offers."""
    return fit(((" LOCKED ", "key"), ("  L L unlocks", "strong")), width)


def bottom(view: View, primary_label: str, width: int) -> Row:
    """Return the line above the footer: what the last key did, else what SPACE does next."""
    if view.message:
        return ((f"  {view.message}", "strong"),)
    return ((f"  SPACE: {primary_label}", "dim"),)


def run_of_turns(at: ReplayPosition, width: int, *, ascii_only: bool) -> Row:
    """Return a replay's turns from left to right, each where it begins, and where it stands."""
    room = width - 11
    done, to_come, here = ("=", ".", "o") if ascii_only else ("━", "┈", "●")

    def cell(at_s: float) -> int:
        return min(room - 1, int(at_s / max(at.lasts_s, 1e-9) * room))

    line = [done] * cell(at.at_s) + [here] + [to_come] * (room - 1 - cell(at.at_s))
    for number, start_s in enumerate(at.starts_s, start=1):
        for k, digit in enumerate(str(number)):
            if cell(start_s) + k < room and line[cell(start_s) + k] != here:
                line[cell(start_s) + k] = digit
    return (("  turns  ", "dim"), ("".join(line), "plain"))


def too_small(width: int, height: int) -> list[Row]:
    """Return what is shown in a window that is too small."""
    lines = (
        "fullturn: this window is too small.",
        f"It has {width} x {height},",
        f"it needs {LEAST_WIDTH} x {LEAST_HEIGHT}.",
        "Make it larger, or the letters smaller.",
        "The recording goes on.",
    )
    return [((line, "strong"),) for line in lines]


def listed(
    lines: Sequence[Row], chosen: int, height: int, options: DisplayOptions, width: int = 0
) -> list[Row]:
    """Return a list with one line chosen, scrolled so that it is seen."""
    first = max(0, min(chosen - height // 2, len(lines) - height))
    rows: list[Row] = []
    for k, line in enumerate(lines[first : first + height], first):
        if k == chosen:
            whole = fit(line, width - 2) if width else line
            rows.append(((f"{options.arrow} ", "key"), *((text, "chosen") for text, _ in whole)))
        else:
            rows.append((("  ", "plain"), *line))
    return rows
