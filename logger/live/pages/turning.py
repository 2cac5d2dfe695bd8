"""The page one looks at while the part turns: reading, TIR, answer, strip, turn bar, doubts."""

import math

import numpy as np

from analysis.capture import AngleSource
from analysis.numerics import UncertainNumber
from analysis.results import Check, CheckState
from analysis.setup import MarkSide
from analysis.units import format_arc
from logger.live.drawing.angle_words import from_tip, missing_words
from logger.live.drawing.display_options import ROUND_FROM, DisplayOptions
from logger.live.drawing.large_digits import big, width_of
from logger.live.drawing.lengths import length, reading_text
from logger.live.drawing.plots import Plot, Tick, axis, height_mm, round_view, strip, turn_bar
from logger.live.drawing.rows import Row, beside, page, wrapped
from logger.live.pages.page_frame import CAUTION, bottom, head, run_of_turns
from logger.live.state.claims import Claim
from logger.live.state.view import View
from logger.reports.sweep import answer_sentence

DIGITS_WIDTH = 46
LEAST_SCALE_STEPS = 12.0
"""The strip shows at least so many steps of the gauge to either side."""
DASHES = "----"
RULE_CELLS = 28
CLAIM_ROLES = {
    Claim.OVER: "over",
    Claim.WITHIN: "within",
    Claim.UNDECIDED: "undecided",
    Claim.REFUSED: "refused",
    Claim.BROKEN: "refused",
}
"""How the decided number is painted."""
BEHIND = " The turns since are being worked out."
FIRST = {
    AngleSource.ENCODER: "Turn once right round past the mark: then there is a TIR.",
    AngleSource.INDEX: "Turn evenly until the mark has passed twice: then there is a TIR.",
    AngleSource.STOPS: "Stop at each place, stand still a second, press SPACE; end at the first again.",
    AngleSource.STEADY: "Spin evenly for two turns and more: then there is a TIR.",
    AngleSource.NONE: "The reading is shown and recorded; without an angle there is no TIR.",
}
"""What to do for a first TIR, by where the angle comes from."""


def turning(view: View, options: DisplayOptions, width: int, height: int, primary_label: str) -> list[Row]:
    """Return the page without its footer, exactly ``height`` rows."""
    digits = large_reading(view, options)
    top = [
        head(view, "1 Turning", width, options),
        *beside(digits, beside_reading(view, options), DIGITS_WIDTH),
        own_number(view, options, width),
        *answer_rows(view, options, width),
    ]
    low = [
        *doubt_rows(view, options, width, 3 if height < 30 else 5),
        ((f"  {CAUTION}", "dim"),),
        _last_row(view, options, primary_label, width),
    ]
    room = max(4, height - len(top) - len(low))
    return page([*top, *drawing(view, options, width, room), *low], width, height)


def _last_row(view: View, options: DisplayOptions, primary_label: str, width: int) -> Row:
    if view.replaying is not None and view.replaying.starts_s and not view.message:
        return run_of_turns(view.replaying, width, ascii_only=options.ascii_only)
    return bottom(view, primary_label, width)


def large_reading(view: View, options: DisplayOptions, *, large: bool = False) -> list[Row]:
    """Return the reading in large digits; dashes while nothing is heard."""
    shown = view.shown_mm
    text = DASHES if shown is None or not view.live else reading_text(shown, view.step_mm, options.unit)
    while text != DASHES and width_of(text) > DIGITS_WIDTH - 4 and "." in text:
        text = text[:-1]
    rows = big(text, ascii_only=options.ascii_only, large=large)
    indent = " " * (2 if large else max(2, DIGITS_WIDTH - 3 - width_of(text)))
    return [((indent, "plain"), (line, "reading" if view.live else "doubt")) for line in rows]


def beside_reading(view: View, options: DisplayOptions) -> list[Row]:
    """Return what stands beside the digits: unit, TIR with the limit, turn and speed."""
    return [
        ((f"{options.unit}", "strong"), ("   zeroed" if view.zero_mm else "", "dim")),
        tir_row(view, options),
        limit_row(view, options),
        rule_row(view, options),
        turn_row(view, options),
    ]


def tir_row(view: View, options: DisplayOptions) -> Row:
    """Return the TIR of the last FULL turn, as a dial shows it; never before one full turn."""
    if not view.claims.tells_numbers:
        return (("TIR   ", "strong"), ("none now", "doubt"))
    if view.last is None:
        return (("TIR   ", "strong"), ("after one full turn", "dim"))
    star = f" {options.star}" if view.starred else ""
    return (
        ("TIR   ", "strong"),
        (length(view.last.tir_raw_mm, options.unit), role_of(view)),
        (f"  turn {view.last.turn + 1}{star}", "dim"),
    )


def role_of(view: View) -> str:
    """Return the role of the decided number."""
    return CLAIM_ROLES.get(view.claims.claim, "strong")


def limit_row(view: View, options: DisplayOptions) -> Row:
    """Return the limit as written, and by how much it is kept or not."""
    if not view.limit_words:
        return (("limit ", "strong"), ("none entered", "dim"))
    words: Row = (("limit ", "strong"), (view.limit_words, "limit"))
    if view.claims.by_mm is None:
        return words
    side = "over" if view.claims.claim is Claim.OVER else "under"
    return (*words, (f" {side} by {length(view.claims.by_mm, options.unit)}", role_of(view)))


def rule_row(view: View, options: DisplayOptions) -> Row:
    """Return a plain rule from 0, with a tick at the limit and the last turn's TIR on it, once decided."""
    if view.last is None or view.limit_mm is None or not view.claims.decided:
        return ()
    tir = view.last.tir_raw_mm
    whole = max(1.25 * view.limit_mm, 1.05 * tir)
    line, tick, here = ("-", "|", "o") if options.ascii_only else ("─", "┼", "●")
    cells: list[tuple[str, str]] = [(line, "dim")] * RULE_CELLS
    cells[round(view.limit_mm / whole * (RULE_CELLS - 1))] = (tick, "limit")
    cells[round(tir / whole * (RULE_CELLS - 1))] = (here, role_of(view))
    return (("0 ", "dim"), *cells)


def turn_row(view: View, options: DisplayOptions) -> Row:
    """Return how many turns, how fast, and the fastest this gauge can follow."""
    fast = view.max_rpm is not None and view.rpm is not None and view.rpm > view.max_rpm
    pieces: list[tuple[str, str]] = [
        (f"turn {view.last.turn + 1 if view.last else 0}", "plain"),
        ("  speed not known", "dim") if view.rpm is None else (f"  {view.rpm:.1f} rpm", "plain"),
    ]
    if view.max_rpm is not None and view.rpm is not None:
        pieces.append((f" of at most {view.max_rpm:.0f}", "doubt" if fast else "dim"))
    return tuple(pieces)


def own_number(view: View, options: DisplayOptions, width: int) -> Row:
    """Return the indicator's own number, unscaled and unzeroed; or what is wrong."""
    if view.words:
        return (("  ", "plain"), *wrapped(view.words, width - 4, "doubt")[0])
    if view.reading_mm is None:
        return ()
    own = f"  the indicator shows {reading_text(view.reading_mm, view.step_mm, options.unit)} {options.unit}"
    place = "" if view.angle_deg is None else f"   {view.setup.mark_on} at {view.angle_deg % 360.0:5.1f} deg"
    high = height_mm(plot_of(view, options), _least_mm(view))
    scale = "" if high is None else f"   strip {length(high, options.unit)} high"
    return ((own, "plain"), (place, "dim"), (scale, "dim"))


def _least_mm(view: View) -> float:
    return max(LEAST_SCALE_STEPS * view.step_mm, 1e-4)


def answer_rows(view: View, options: DisplayOptions, width: int) -> list[Row]:
    """Return the answer in one sentence, at least two rows; what breaks or refuses it is never cut."""
    if view.words and view.result is None and not view.broken:
        return _two(wrapped(view.words, width - 4, "doubt")[1:3])  # what does not fit in the row above
    claims = view.claims
    if claims.claim in (Claim.BROKEN, Claim.REFUSED):
        word = "BROKEN. The sweep is broken" if claims.claim is Claim.BROKEN else "REFUSED"
        do = f" -> {claims.remedy}" if claims.remedy else ""
        return _two(wrapped(f"{word}: {claims.cause}{do}", width - 4, "refused"))
    if view.result is not None:
        sentence = answer_sentence(view.result, options.unit)
        if claims.claim is Claim.UNDECIDED:
            sentence += f" NOT DECIDED because: {claims.cause}."
        if view.behind:
            sentence += BEHIND
        return _two(wrapped(sentence, width - 4, role_of(view)))
    if view.analysis is not None and view.analysis.problem and view.turns:
        return _two(wrapped(view.analysis.problem, width - 4, "doubt", 2))
    if view.reading_mm is None:
        return _two([])
    return _two(
        wrapped(
            FIRST.get(view.source or AngleSource.ENCODER, FIRST[AngleSource.ENCODER]), width - 4, "plain", 2
        )
    )


def _two(rows: list[Row]) -> list[Row]:
    indented: list[Row] = [(("  ", "plain"), *one) for one in rows]
    return [*indented, *[()] * (2 - len(indented))]


def drawing(view: View, options: DisplayOptions, width: int, height: int) -> list[Row]:
    """Return strip, axis and turn bar, with the round view beside them where there is room."""
    bare = plot_of(view, options)
    least = _least_mm(view)
    beside_width = min(3 * height, width // 3) if width >= ROUND_FROM else 0
    if options.round and not beside_width:
        inner = round_view(bare, width - 4, height - 1, least, view.direction)
        return [*inner, seen_row(view)]
    strip_width = width - 4 - (beside_width + 2 if beside_width else 0)
    rows = strip(bare, strip_width, height - 3, least)
    mark = f"0 {view.setup.mark_on}'s mark"
    rows.append(axis(strip_width, bare.head_deg, mark, ascii_only=options.ascii_only))
    rows.append(turn_bar(view.missing, strip_width, ascii_only=options.ascii_only))
    rows = [(("  ", "plain"), *one) for one in rows]
    if beside_width:
        rows = beside(
            rows, round_view(bare, beside_width, height - 1, least, view.direction), strip_width + 2, 2
        )
    return [*rows[: height - 1], seen_row(view)]


def plot_of(view: View, options: DisplayOptions) -> Plot:
    """Return what is drawn, the display's zero taken off."""
    low, high = view.pass_low - view.zero_mm, view.pass_high - view.zero_mm
    limits = None
    if view.limit_mm is not None and np.isfinite(low).any():
        middle = 0.5 * (float(np.nanmin(low)) + float(np.nanmax(high)))
        limits = (middle - 0.5 * view.limit_mm, middle + 0.5 * view.limit_mm)
    ticks = []
    ends = ((view.high, "high", True), (view.low, "low", False)) if view.claims.tells_numbers else ()
    for end, name, top in ends:
        if end is not None and math.isfinite(end[1]):
            ticks.append(Tick(end[1], f"{name} so far", "mark", top))
    return Plot(
        low,
        high,
        None if view.angle_deg is None else view.angle_deg % 360.0,
        limits,
        ("limit", "limit"),
        ticks,
        [hole.deg for hole in view.setup.holes] if view.setup.mark_on == MarkSide.PART else [],
        options.thick,
        options.ascii_only,
    )


def seen_row(view: View) -> Row:
    """Return what of the turn has been seen, in words."""
    if view.reading_mm is None or view.claims.claim is Claim.LOST:
        return ()
    angle_note = f"   {view.angle_note}" if view.angle_note else ""
    if not np.isfinite(view.pass_low).any():
        return ((angle_note[1:], "doubt"),)
    if not view.missing:
        return (("  seen all round", "within"), (angle_note + _spot(view), "dim"))
    if view.stop_at:
        return ((angle_note[1:], "doubt"),)
    return ((f"  not yet seen: {missing_words(view.missing, view.setup)}", "doubt"), (angle_note, "dim"))


def _spot(view: View) -> str:
    if view.result is None or view.angle_deg is None:
        return ""
    point = view.result.pooled.high_point
    tip = from_tip(point.value, view.angle_deg, view.setup).partition(", about")[0]  # else it is cut at 80
    return f"   {high_point_words(point)}, {tip}"


def high_point_words(point: UncertainNumber) -> str:
    """Return where it is high, the one angle for it on every page, with its 95 % interval."""
    low, high = point.interval()
    return f"high point {round(point.value) % 360} deg ({format_arc(low, high)})"


def doubt_lines(view: View, options: DisplayOptions) -> list[tuple[str, str]]:
    """Return only what is not clear, each with the one thing to do."""
    found: list[tuple[str, str]] = []
    if view.max_rpm is not None and view.rpm is not None and view.rpm > view.max_rpm:
        found.append(
            (f"turning at {view.rpm:.0f} rpm", f"at most {view.max_rpm:.0f} rpm for this gauge, slower")
        )
    if view.link:
        found.append((view.link, "look at cable and plugs"))
    if view.overdue:
        found.append((view.overdue, "have the gauge checked"))
    checks: list[Check] = [*(view.result.checks if view.result else [])]
    refused = [check for check in checks if check.state is CheckState.REFUSED]
    found += [(f"REFUSED: {check.text}", check.do) for check in refused[1:]]  # the first is the answer
    found += [(check.text, check.do) for check in checks if check.state is CheckState.DOUBTFUL]
    if not view.marked and view.counts_per_turn and view.role.owns_board and not view.broken:
        found.append(("no mark touched: count 0 stands for it", "mark to the tip, press M"))
    return found


def doubt_rows(view: View, options: DisplayOptions, width: int, most: int) -> list[Row]:
    """Return the doubts, and how well the last two turns agree."""
    found = doubt_lines(view, options)
    rows: list[Row] = []
    if view.analysis is not None and view.analysis.agree_mm is not None:
        rows.append(
            (
                ("  last two turns agree within ", "plain"),
                (length(view.analysis.agree_mm, options.unit), "strong"),
            )
        )
    for k, (text, do) in enumerate(found):
        words = (text if text.startswith("REFUSED") else f"doubt: {text}") + (f" -> {do}" if do else "")
        lines = wrapped(words, width - 4, "doubt", max(1, most - len(rows)))
        if len(rows) + len(lines) > most:
            break
        rows += [(("  ", "plain"), *line) for line in lines]
        if len(rows) == most and k + 1 < len(found):
            rows[-1] = (*rows[-1], (f" (+{len(found) - k - 1}: 6)", "dim"))
            break
    return rows
