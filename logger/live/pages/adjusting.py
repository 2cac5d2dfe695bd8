"""Screws: all moves in a list, and at the chosen one what the indicator has to read."""

from analysis.setup import Surface
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.large_digits import big
from logger.live.drawing.lengths import fine, reading_text
from logger.live.drawing.rows import Row, page, wrapped
from logger.live.pages.finding import DIRECTIONS
from logger.live.pages.page_frame import bottom, head
from logger.live.pages.turning import DASHES
from logger.live.state.view import View
from logger.live.tools.adjusting import AdjustmentGuide, direction_words
from logger.live.tools.spot_finder import Approach


def adjusting_page(
    view: View,
    options: DisplayOptions,
    run: AdjustmentGuide | None,
    approach: Approach | None,
    problem: str,
    words: str,
    width: int,
    height: int,
) -> list[Row]:
    """Return the page; ``going`` is how far it still is to the screw that is next."""
    rows: list[Row] = [head(view, "Screws", width, options), ()]
    if run is None:
        rows += _indented(wrapped(problem, width - 4, "doubt"))
    else:
        rows += _list(run, options)
        rows.append(())
        rows += _end(run, width) if run.over else _screw(view, options, run, approach, width)
    rows = [*rows[: height - 2], *[()] * max(0, height - 2 - len(rows))]
    rows.append((("  up and down take another screw, E types other angles, Esc ends", "dim"),))
    rows.append(bottom(view, words, width))
    return page(rows, width, height)


def _indented(lines: list[Row]) -> list[Row]:
    return [(("  ", "plain"), *one) for one in lines]


def _list(run: AdjustmentGuide, options: DisplayOptions) -> list[Row]:
    what = "shim" if run.surface == Surface.FACE else "screw"
    rows: list[Row] = []
    for k, move in enumerate(run.found.moves):
        here = k == run.at and not run.over
        mark = f"{options.arrow} " if here else "  "
        done = "done" if k in run.done else ""
        text = (
            f"{what} {k + 1:<3}at {move.deg:>5.1f} deg  {_signed(move.move_mm, options, run.surface):>12}  "
        )
        text += f"{direction_words(move.move_mm, run.surface):<30}{done}"
        rows.append(((mark, "key" if here else "plain"), (text, "chosen" if here else "plain")))
    if run.found.left_first_mm > 0.0:
        left = fine(run.found.left_first_mm, options.unit)
        rows += _indented(wrapped(f"These leave {left} TIR of order 1: none points that way.", 70, "doubt"))
    return rows


def _signed(mm: float, options: DisplayOptions, surface: str) -> str:
    text = fine(mm, options.unit)
    return text if surface == Surface.FACE or text.startswith("-") else f"+{text}"


def _screw(
    view: View, options: DisplayOptions, run: AdjustmentGuide, approach: Approach | None, width: int
) -> list[Row]:
    number, move = run.at + 1, run.move.move_mm
    if not run.shows_readings:
        text = f"Put {_signed(move, options, run.surface)} under shim place {number}, then SPACE."
        return _indented(wrapped(text, width - 4, "strong"))
    if run.start_mm is None:
        return _to_screw(run, approach, width, options)
    reach, still = run.target_reading_mm(), run.still_mm(view.reading_mm)
    assert reach is not None
    goal = f"{reading_text(reach, view.step_mm, options.unit)} {options.unit}"
    text = f"Screw {number}: {direction_words(move, run.surface)} until the indicator reads {goal}"
    rows = [*_indented(wrapped(text, width - 4, "strong")), (), *_digits(_now(view, options), options), ()]
    if approach is not None and not approach.near:
        away = (
            f"The part has turned {approach.to_go_deg:.0f} deg away from screw {number}: turn it back first."
        )
        return [*rows, *_indented(wrapped(away, width - 4, "doubt"))]
    if run.there(view.reading_mm):
        return [*rows, *_indented([(("THERE: stop; SPACE goes on", "within"),)])]
    if still is not None:
        rows += _indented([((f"still {_signed(still, options, 'outside')} on the indicator", "plain"),)])
    return rows


def _now(view: View, options: DisplayOptions) -> str:
    if view.reading_mm is None or not view.live:
        return DASHES
    return reading_text(view.reading_mm, view.step_mm, options.unit)


def _digits(text: str, options: DisplayOptions) -> list[Row]:
    return [(("  ", "plain"), (line, "reading")) for line in big(text, ascii_only=options.ascii_only)]


def _to_screw(
    run: AdjustmentGuide, approach: Approach | None, width: int, options: DisplayOptions
) -> list[Row]:
    if approach is None:
        return _indented(wrapped("No angle yet: turn past the mark, or press M.", width - 4, "doubt"))
    if approach.here:
        rows = [*_digits("HERE", options), ()]
        words = f"Screw {run.at + 1} is under the tip. Stand still, then SPACE."
        return [*rows, *_indented(wrapped(words, width - 4, "within"))]
    words = f"Go to screw {run.at + 1}: {approach.to_go_deg:.1f} deg, turn {DIRECTIONS[approach.direction]}"
    words += " (overshot: go back)." if approach.overshot else "."
    return [
        *_indented(wrapped(words, width - 4, "strong")),
        (),
        *_digits(f"{approach.to_go_deg:.0f}", options),
    ]


def _end(run: AdjustmentGuide, width: int) -> list[Row]:
    del run
    return _indented(
        wrapped("All done. Sweep again: what is left is found, not reckoned.", width - 4, "strong")
    )
