"""Find: the list of spots, then an arrow, degrees and arc still to go, and HERE."""

from collections.abc import Sequence

from logger.live.drawing.angle_words import arc_words, bare_place, place
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.large_digits import big, width_of
from logger.live.drawing.rows import Row, cells, page
from logger.live.pages.page_frame import head, listed
from logger.live.state.view import View
from logger.live.tools.spot_finder import Approach, Spot

_RIGHT = ("#...", ".#..", "..#.", ".#..", "#...")
MARKER = 2
"""Columns that a list takes beside its lines."""
DIRECTIONS = {1: "clockwise", -1: "counter-clockwise"}


def spot_list(
    view: View, options: DisplayOptions, found: Sequence[Spot], chosen: int, width: int, height: int
) -> list[Row]:
    """Return the page on which a spot is chosen."""
    lines: list[Row] = []
    for one in found:
        name, where, hint = f"{one.name:<14}", bare_place(one.deg, view.setup), f"   {one.hint}"
        whole = MARKER + cells(name + where + hint) <= width  # a hint that would be cut is left out
        lines.append(((name, "strong"), (where, "plain"), (hint if whole else "", "dim")))
    rows: list[Row] = [
        head(view, "Find", width, options),
        (),
        ((f"  What shall come under the tip? Places are past the {view.setup.mark_on}'s mark.", "strong"),),
        (),
    ]
    if view.result is None:
        rows[3] = (("  high point and high side after the first full turn", "dim"),)
    rows += listed(lines, chosen, height - 7, options, width)
    return page(
        [*rows, *[()] * (height - len(rows) - 1), (("  arrows choose, SPACE finds, Esc back", "dim"),)],
        width,
        height,
    )


def finding(
    view: View, options: DisplayOptions, spot: Spot, approach: Approach | None, width: int, height: int
) -> list[Row]:
    """Return the page that leads to a spot."""
    crayon = view.setup.crayon_at
    under = f"under the crayon at {crayon} o'clock" if crayon else "under the tip"
    rows: list[Row] = [
        head(view, "Find", width, options),
        (),
        (("  ", "plain"), (spot.name, "strong"), (f" {under}", "plain")),
        ((f"  {place(spot.deg, view.setup)}", "dim"),),
        (),
    ]
    if approach is None or not view.live:
        rows += [((f"  {view.words or 'no angle yet: turn past the mark, or press M'}", "doubt"),)]
    elif approach.here:
        rows += _centred(big("HERE", ascii_only=options.ascii_only, large=height >= 22), width, "within")
        rows += [(), *_centred(["HERE: stop, and mark it"], width, "strong")]
    else:
        size = f"{approach.to_go_deg:.0f}" if approach.to_go_deg >= 10 else f"{approach.to_go_deg:.1f}"
        digits = big(size, ascii_only=options.ascii_only, large=height >= 22)
        rows += _with_arrows(digits, approach.direction, width, options)
        arc = arc_words(approach.to_go_deg, view.setup)
        direction = DIRECTIONS[approach.direction]
        words = (
            f"{approach.to_go_deg:.1f} deg to go, {direction} seen from the {view.setup.declared_end}'s end"
        )
        rows += [
            (),
            *_centred(
                [f"turn {direction}" + (": overshot, go back" if approach.overshot else "")], width, "strong"
            ),
        ]
        rows += _centred([words + (f" = {arc}" if arc else "")], width, "plain")
    lag = view.analysis.lag if view.analysis else None
    late = f"the gauge is {lag.lag_s * 1000:.0f} ms late: taken into account" if lag else ""
    rest = max(0, height - len(rows) - 2)
    rows += [*[()] * rest, ((f"  {late}", "dim"),), (("  SPACE or Esc: another spot", "dim"),)]
    return page(rows, width, height)


def _with_arrows(digits: list[str], direction: int, width: int, options: DisplayOptions) -> list[Row]:
    """Return digits between chevrons that point the way to turn."""
    block = "#" if options.ascii_only else "█"
    size = len(digits) / len(_RIGHT)
    rows: list[Row] = []
    for k, line in enumerate(digits):
        shape = _RIGHT[min(len(_RIGHT) - 1, int(k / size))]
        chevron = "".join((block if c == "#" else " ") * 2 for c in (shape if direction > 0 else shape[::-1]))
        three = " ".join([chevron] * 3)
        text = f"{line}   {three}" if direction > 0 else f"{three}   {line}"
        rows += _centred([text], width, "reading")
    return rows


def _centred(lines: Sequence[str], width: int, role: str) -> list[Row]:
    return [((" " * max(0, (width - len(line)) // 2), "plain"), (line, role)) for line in lines]


__all__ = ["finding", "spot_list", "width_of"]
