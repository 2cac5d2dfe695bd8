"""Screws: all moves in a list, and at the chosen one what the indicator has to read."""

from logger.live.dialling import Dialling, way_words
from logger.live.digits import big
from logger.live.find import Going
from logger.live.lengths import length, reading_text
from logger.live.look import Look
from logger.live.pages.finding import WAYS
from logger.live.pages.parts import bottom, head
from logger.live.rows import Row, page, wrapped
from logger.live.view import View


def dialling_page(
    view: View, look: Look, run: Dialling | None, going: Going | None, problem: str, words: str, width: int,
    height: int,
) -> list[Row]:  # fmt: skip
    """Return the page; ``going`` is how far it still is to the screw that is next."""
    rows: list[Row] = [head(view, "Screws", width, look), ()]
    if run is None:
        rows += _indented(wrapped(problem, width - 4, "doubt"))
    else:
        rows += _list(run, look)
        rows.append(())
        rows += _end(run, width) if run.over else _screw(view, look, run, going, width)
    rows = [*rows[: height - 1], *[()] * max(0, height - 1 - len(rows))]
    rows.append(bottom(view, words, width))
    return page(rows, width, height)


def _indented(lines: list[Row]) -> list[Row]:
    return [(("  ", "plain"), *one) for one in lines]


def _list(run: Dialling, look: Look) -> list[Row]:
    what = "shim" if run.surface == "face" else "screw"
    rows: list[Row] = []
    for k, move in enumerate(run.found.moves):
        here = k == run.at and not run.over
        mark = f"{look.arrow} " if here else "  "
        done = "done" if k in run.done else ""
        text = f"{what} {k + 1:<3}at {move.deg:>5.1f} deg  {_signed(move.move_mm, look, run.surface):>12}  "
        text += f"{way_words(move.move_mm, run.surface):<30}{done}"
        rows.append(((mark, "key" if here else "plain"), (text, "chosen" if here else "plain")))
    if run.found.left_first_mm > 0.0:
        left = length(run.found.left_first_mm, look.unit)
        rows += _indented(wrapped(f"These leave {left} TIR of order 1: none points that way.", 70, "doubt"))
    return rows


def _signed(mm: float, look: Look, surface: str) -> str:
    text = length(mm, look.unit)
    return text if surface == "face" or text.startswith("-") else f"+{text}"


def _screw(view: View, look: Look, run: Dialling, going: Going | None, width: int) -> list[Row]:
    what = "shim" if run.surface == "face" else "screw"
    if not run.by_reading:
        text = f"Put {_signed(run.move.move_mm, look, run.surface)} under {what} {run.at + 1}, then SPACE."
        return _indented(wrapped(text, width - 4, "strong"))
    if run.start_mm is None:
        return _to_screw(run, going, width, look)
    reach, still = run.reach_mm(), run.still_mm(view.reading_mm)
    assert reach is not None
    goal = f"{reading_text(reach, view.step_mm, look.unit)} {look.unit}"
    rows = _indented(
        wrapped(
            f"{what} {run.at + 1}: {way_words(run.move.move_mm, run.surface)} until the indicator reads "
            f"{goal}",
            width - 4,
            "strong",
        )
    )
    now = (
        "----"
        if view.reading_mm is None or not view.live
        else reading_text(view.reading_mm, view.step_mm, look.unit)
    )
    rows += [(), *[(("  ", "plain"), (line, "reading")) for line in big(now, ascii_only=look.ascii_only)], ()]
    if run.there(view.reading_mm):
        rows += _indented([(("THERE: stop; SPACE goes on", "within"),)])
    elif still is not None:
        rows += _indented([((f"still {_signed(still, look, run.surface)} on the indicator", "plain"),)])
    return rows


def _to_screw(run: Dialling, going: Going | None, width: int, look: Look) -> list[Row]:
    del look
    if going is None:
        return _indented(wrapped("No angle yet: turn past the mark, or press M.", width - 4, "doubt"))
    if going.here:
        return _indented([((f"HERE: screw {run.at + 1} is under the tip. Stand still, SPACE.", "within"),)])
    text = f"Go to screw {run.at + 1}: {going.to_go_deg:.1f} deg to go, turn {WAYS[going.way]}"
    return _indented(
        wrapped(text + (" (overshot, go back)" if going.overshot else "") + ".", width - 4, "strong")
    )


def _end(run: Dialling, width: int) -> list[Row]:
    del run
    return _indented(
        wrapped("All done. Sweep again: what is left is found, not reckoned.", width - 4, "strong")
    )
