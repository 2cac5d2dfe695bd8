"""Compare: stored turns in a list, two overlaid, their difference below on its own scale."""

from collections.abc import Sequence

from analysis.setup import CompareEffect
from analysis.store.rows import StoredTurn
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.lengths import length
from logger.live.drawing.plots import Plot, Tick, axis, height_mm, overlay, overlay_height_mm, strip
from logger.live.drawing.rows import Row, harmless, page, wrapped
from logger.live.pages.page_frame import bottom, head, listed
from logger.live.state.view import View
from logger.live.tools.turn_comparison import Comparison


def turn_list(
    view: View,
    options: DisplayOptions,
    found: Sequence[StoredTurn],
    chosen: int,
    first: int | None,
    problem: str,
    width: int,
    height: int,
) -> list[Row]:
    """Return the list of stored turns; ``first`` is the position of the one chosen already."""
    rows: list[Row] = [head(view, "4 Compare", width, options), ()]
    if problem or not found:
        rows.append(
            ((f"  {problem or 'No stored turns yet: turn once round, every full turn is kept.'}", "plain"),)
        )
        return page(rows, width, height)
    asked = "choose the turn BEFORE" if first is None else "choose the turn AFTER"
    rows += [((f"  {asked}", "strong"),), ()]
    lines: list[Row] = []
    for k, turn in enumerate(found):
        mark = options.star if turn.starred else " "
        picked = "B" if k == first else " "
        out = f"  left out: {turn.left_out}" if turn.left_out is not None else ""
        fit = "-" if turn.tir_fit_mm is None else length(turn.tir_fit_mm, options.unit)
        lines.append(
            (
                (f"{picked}{mark} ", "mark"),
                (f"{turn.recorded[:16].replace('T', ' ')}  ", "dim"),
                (f"{harmless(turn.part or 'no name')[:20]:<21}{turn.stage:<13}", "plain"),
                (f"turn {turn.turn + 1:<4}TIR {fit}", "strong"),
                (harmless(out), "doubt"),
            )
        )
    rows += listed(lines, chosen, height - 6, options, width)
    rows += [*[()] * max(0, height - len(rows) - 1)]
    rows.append(bottom(view, "take this turn", width))
    return page(rows, width, height)


def comparison(
    view: View, options: DisplayOptions, compared: Comparison, width: int, height: int
) -> list[Row]:
    """Return two turns overlaid, and their difference where they may be compared."""
    a, b = compared.before, compared.after
    rows: list[Row] = [
        head(view, "4 Compare", width, options),
        (("  before ", "other"), (f"(dots)  {_name(a)}", "plain")),
        (("  after  ", "trace"), (f"(line)  {_name(b)}", "plain")),
        *_claim(compared, options),
        *_list_of_differences(compared, width),
    ]
    room = height - len(rows) - 4
    upper = max(3, room * 3 // 5) if compared.change_mm is not None else max(3, room)
    both = overlay(compared.before_mm, compared.after_mm, width - 4, upper, ascii_only=options.ascii_only)
    rows += [(("  ", "plain"), *one) for one in both]
    size = f"{length(overlay_height_mm(compared.before_mm, compared.after_mm), options.unit)} high"
    rows.append((("  ", "plain"), *axis(width - 4, None, "0 mark", ascii_only=options.ascii_only, note=size)))
    if compared.change_mm is None:
        rows.append((("  no difference is drawn: it would be of two different measurements", "doubt"),))
    else:
        moved = Plot(
            compared.change_mm,
            compared.change_mm,
            None,
            None,
            ticks=[Tick(compared.change_first_deg, f"{compared.change_first_deg:.0f} deg", "mark")],
            ascii_only=options.ascii_only,
        )
        high = length(height_mm(moved, 1e-4) or 0.0, options.unit)
        rows.append(((f"  difference, after less before, on its own scale: {high} high", "dim"),))
        rows += [(("  ", "plain"), *one) for one in strip(moved, width - 4, max(3, room - upper), 1e-4)]
    rows += [*[()] * max(0, height - len(rows) - 1)]
    rows.append(bottom(view, "compare two others", width))
    return page(rows, width, height)


def _claim(compared: Comparison, options: DisplayOptions) -> list[Row]:
    """Return how much and which way it changed, or nothing where that cannot be said."""
    if not compared.comparable:
        return []
    much, which = length(compared.change_first_mm, options.unit), f"{compared.change_first_deg:.0f} deg"
    words = f"  changed by {much} once round, high at {which} on the part"
    return [((words, "strong"), (f"; all orders {length(compared.change_tir_mm, options.unit)}", "plain"))]


def _list_of_differences(compared: Comparison, width: int) -> list[Row]:
    """Return the list of what makes the two comparable or not."""
    if not compared.differences:
        return [(("  same set-up: comparable", "within"),)]

    def named(effect: str) -> str:
        return "; ".join(
            f"{one.field.replace('_', ' ')} {one.before or '-'} / {one.after or '-'}"
            for one in compared.differences
            if one.effect == effect
        )

    rows: list[Row] = []
    if blocking := named(CompareEffect.BLOCKS):
        rows += wrapped(f"  NOT COMPARABLE: {blocking}", width - 4, "over", 2)
    if scaled := named(CompareEffect.RESCALED):
        done = f" -> {'; '.join(compared.terms)}" if compared.terms else ""
        rows += wrapped(f"  rescaled: {scaled}{done}", width - 4, "doubt", 2)
    if noted := named(CompareEffect.NOTED):
        rows += wrapped(f"  noted: {noted}", width - 4, "dim", 1)
    return [(("  ", "plain"), *one) for one in rows]


def _name(turn: StoredTurn) -> str:
    when = turn.recorded[:16].replace("T", " ")
    return harmless(f"{turn.part or 'no name'}, {turn.stage}, turn {turn.turn + 1}, {when}")
