"""The wall view for a class: reading, TIR, high side, state in words, strip; to be read from eight metres."""

from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.large_digits import big, width_of
from logger.live.drawing.lengths import length
from logger.live.drawing.plots import strip
from logger.live.drawing.rows import Row, page, wrapped
from logger.live.pages.page_frame import locked_row
from logger.live.pages.turning import LEAST_SCALE_STEPS, high_point_words, large_reading, plot_of, role_of
from logger.live.state.claims import Claim
from logger.live.state.view import View
from logger.reports.phrases import STATE_WORDS

SHORT = {
    Claim.WITHIN: "WITHIN",
    Claim.OVER: "OVER",
    Claim.UNDECIDED: "NOT DECIDED",
    Claim.REFUSED: "REFUSED",
    Claim.BROKEN: "BROKEN",
}
"""The verdict's own words, short enough for large letters; the whole sentence stands under them."""
TALL = 34
"""From so many rows on the reading is ten rows high."""


def wall(view: View, options: DisplayOptions, width: int, height: int) -> list[Row]:
    """Return the page."""
    rows: list[Row] = [*large_reading(view, options, large=height >= TALL), ()]
    rows += _tir(view, options)
    rows += _verdict(view, options, width)
    room = height - len(rows) - 1
    if room >= 3:
        least = max(LEAST_SCALE_STEPS * view.step_mm, 1e-4)
        rows += [(("  ", "plain"), *one) for one in strip(plot_of(view, options), width - 4, room, least)]
    rows.append(_last_row(view, width))
    return page(rows, width, height)


def _last_row(view: View, width: int) -> Row:
    if view.message:
        return ((f"  {view.message}", "strong"),)
    return locked_row(width) if view.locked else (("  W or Esc: back", "dim"),)


def _verdict(view: View, options: DisplayOptions, width: int) -> list[Row]:
    """Return state and high side, as large as there is room for."""
    words: Row = (
        (f"   {_state(view)}   ", role_of(view) if not view.words else "doubt"),
        (_side(view), "strong"),
    )
    claims = view.claims
    short = SHORT.get(claims.claim)
    if view.words or short is None:
        return [words]
    angle = f"{round(view.result.pooled.high_point.value) % 360} DEG" if view.result else ""
    if claims.claim is Claim.REFUSED:
        angle = ""  # what is refused is not told in large letters
    rows: list[Row] = [
        (("  ", "plain"), (line, role_of(view))) for line in big(short, ascii_only=options.ascii_only)
    ]
    if width_of(short) + width_of(angle) + 8 <= width:
        side = big(angle, ascii_only=options.ascii_only)
        rows = [(*one, ("     ", "plain"), (line, "strong")) for one, line in zip(rows, side, strict=True)]
    if claims.claim in (Claim.BROKEN, Claim.REFUSED):
        do = f" -> {claims.remedy}" if claims.remedy else ""
        lines = wrapped(f"{claims.cause}{do}", width - 6, "doubt")
        return [*rows, *[((("   ", "plain")), *line) for line in lines]]
    return [*rows, words]


def _tir(view: View, options: DisplayOptions) -> list[Row]:
    limit: Row = ((f"   LIMIT {view.limit_words}" if view.limit_words else "", "limit"),)
    if not view.claims.tells_numbers:
        return [limit]
    if view.last is None:
        return [(("   TIR   after one full turn", "strong"), *limit)]
    said = length(view.last.tir_raw_mm, options.unit)
    number, _, unit = said.partition(" ")
    large = big(f"TIR {number}", ascii_only=options.ascii_only)
    return [
        *[(("  ", "plain"), (line, role_of(view))) for line in large],
        ((f"   TIR   {number} {unit}", role_of(view)), *limit),
    ]


def _side(view: View) -> str:
    if view.result is None:
        return "HIGH POINT   not known yet" if view.claims.tells_numbers else ""
    return f"{high_point_words(view.result.pooled.high_point)} on the {view.setup.mark_on}".upper()


def _state(view: View) -> str:
    if view.words:
        said, bracket, name = view.words.partition(" (")  # a port's name has letters of its own
        return said.upper() + bracket + name
    decision = view.result.decision if view.result else None
    return STATE_WORDS[decision.state].upper() if decision else ""
