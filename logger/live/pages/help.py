"""Help in three pages: keys that do something here, all other keys, and what the words mean."""

from collections.abc import Sequence

from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.rows import Row, page, wrapped
from logger.live.key_bindings import KEY_COMMANDS, KeyCommand, commands_here, key_name
from logger.live.pages.page_frame import head
from logger.live.state.state import Role
from logger.live.state.view import View

PAGES = 3
MOST_AT_ONCE = 14
_OTHER_PAGES = ("1 to 7", "Turning, Set-up, Steps, Compare, Owner, Numbers, Batch")
_NUMBERED = ("turning", "setup", "steps", "compare", "owner", "numbers", "batch")
WORDS = (
    ("TIR a dial shows", "highest less lowest reading of one full turn, noise and all"),
    ("fitted TIR", "the same of the curve fitted to all turns, noise taken out"),
    ("high point", "where that curve is highest, with the arc it is known to"),
    ("high side", "where order 1 alone is highest: what a seat or a screw moves"),
    ("within, over", "value and guard band stay under the limit, or pass it"),
    ("not decided", "the limit lies inside what is not known: more turns, a better gauge"),
    ("doubt", "something to look at; the numbers stand"),
    ("refused", "a check does not believe the sweep: nothing is decided"),
    ("broken", "turns so far count no more: mark under the tip, M, turn again"),
    ("angles", "count against the clock from the mark, seen from the indicator"),
)


def help_page(
    view: View, options: DisplayOptions, opened_from: str, label: str, number: int, width: int, height: int
) -> list[Row]:
    """Return one of the three pages, counted from 0.

    ``opened_from``: the page whose keys are wanted; ``label``: what SPACE does there.
    """
    title = ("What keys do here", "All other keys", "What the words mean")[number]
    rows: list[Row] = [head(view, f"Help {number + 1} of {PAGES}", width, options)]
    rows.append(((f"  {title}", "strong"),))
    here = _here(view, opened_from)
    match number:
        case 0:
            rows += [_line("SPACE", f"{label} (also PageDown, Enter, a pedal, the button)")]
            rows += [_line(key_name(one), one.help) for one in here if one.name != "next"]
            rows += [_line(*_OTHER_PAGES)]
        case 1:
            rows += [_line(key_name(one), one.help) for one in _others(view, here)]
        case _:
            for word, meaning in WORDS:
                first, *more = wrapped(meaning, width - 21)
                rows.append(((f"  {word:<17}", "strong"), *first))
                rows += [((" " * 19, "plain"), *one) for one in more]
    rows += [()] * (height - len(rows) - 1)
    rows.append((("  A held key is one press. Ctrl-P: every command by its name. H or Esc: back", "dim"),))
    return page(rows, width, height)


def _here(view: View, opened_from: str) -> Sequence[KeyCommand]:
    replays = view.role is Role.REPLAY
    acting = commands_here(
        opened_from, replay=replays, at_board=view.role.owns_board, on_lathe=view.setup.stage.on_lathe
    )
    wanted = [
        one for one in acting if one.footer or one.common or one.replay_only or opened_from in one.pages
    ]
    return wanted[:MOST_AT_ONCE]


def _others(view: View, here: Sequence[KeyCommand]) -> list[KeyCommand]:
    known = {one.name for one in here} | {"next", *_NUMBERED}
    replays = view.role is Role.REPLAY
    return [one for one in KEY_COMMANDS if one.name not in known and (replays or not one.replay_only)]


def _line(key: str, text: str) -> Row:
    return ((f"  {key:<11}", "key"), (f" {text}", "plain"))
