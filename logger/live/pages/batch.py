"""Batch: the serial that is named, in large letters; how far its turns are; what was told before."""

from analysis.units import format_length
from logger.batch import MeasuredPart, counts
from logger.live.batch.batch_guide import BatchGuide, BatchPhase
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.large_digits import big, width_of
from logger.live.drawing.rows import Row, page, wrapped
from logger.live.pages.page_frame import CAUTION, bottom, head
from logger.live.pages.turning import own_number
from logger.live.state.view import View

ROLES = {"within": "within", "over": "over", "undecided": "undecided", "refused": "doubt", "short": "doubt"}
HINT = "serial and Enter; skip REASON; again.   Esc back   Ctrl-C end"
DIGIT_ROWS = 5
SHORT_WORDS = {
    "within": "WITHIN",
    "over": "OVER",
    "undecided": "NOT DECIDED",
    "refused": "REFUSED",
    "short": "CUT SHORT",
}
"""The verdict of a part in large letters; the whole sentence stands under them."""
CHECK_WORDS = {
    "in control": ("CHECK IN", "within"),
    "out of control": ("CHECK OUT", "over"),
    "not judged": ("CHECKED", "strong"),
}
"""That of a check standard, and how it is painted."""


def batch_page(
    view: View,
    options: DisplayOptions,
    guide: BatchGuide,
    line: str,
    label: str,
    scrolled: int,
    width: int,
    height: int,
) -> list[Row]:
    """Return the page without its footer; ``scrolled``: so many of the newest parts lie below the table."""
    top: list[Row] = [head(view, "7 Batch", width, options), _standing(guide, width)]
    top += [*_large(guide, options, width), *_what_now(guide, width)]
    if guide.phase is BatchPhase.TURNING or view.live:
        top.append(own_number(view, options, width))
    top += _told(guide, options, width)
    low: list[Row] = [((f"  {CAUTION}", "dim"),), _field(line, options), bottom(view, label, width)]
    room = max(0, height - len(top) - len(low))
    table = _table(guide, options, room, scrolled)
    return page([*top, *table, *[()] * (room - len(table)), *low], width, height)


def _standing(guide: BatchGuide, width: int) -> Row:
    if guide.batch is None:
        return ()
    return (("  ", "plain"), *wrapped(counts(guide.batch), width - 4, "plain", 1)[0])


def _large(guide: BatchGuide, options: DisplayOptions, width: int) -> list[Row]:
    """Return the named serial in large letters, as far as it has room; the exact one stands beneath."""
    batch = guide.batch
    serial = batch.asked or batch.serial if batch is not None else ""
    text = serial.upper()
    while text and width_of(text) > width - 4:
        text = text[1:]  # the end of a serial tells parts apart
    role = "doubt" if batch is not None and batch.asked else "reading"
    rows = big(text, ascii_only=options.ascii_only) if text else [""] * DIGIT_ROWS
    return [(("  ", "plain"), (one, role)) for one in rows]


def _what_now(guide: BatchGuide, width: int) -> list[Row]:
    """Return the exact serial and what a person does with it, at least two rows."""
    batch = guide.batch
    if batch is None:
        words, role = guide.problem or "It is looked up what was measured in this job.", "plain"
    elif guide.phase is BatchPhase.TURNING:
        done, planned = guide.turns
        words, role = (
            f"{batch.serial} is being measured: {done} of {planned} turns are round. Turn on, slowly.",
            "strong",
        )
    elif guide.words:
        words, role = guide.words, "doubt" if batch.asked else "strong"
    else:
        words, role = f"{batch.wants}.", "strong"
    if guide.phase is BatchPhase.TURNING and guide.words:
        words += f" {guide.words}"
    rows: list[Row] = [(("  ", "plain"), *one) for one in wrapped(words, width - 4, role, 3)]
    return [*rows, *[()] * (2 - len(rows))]


def _told(guide: BatchGuide, options: DisplayOptions, width: int) -> list[Row]:
    """Return what the part before was told: its verdict in large letters, to be read from three metres."""
    last = guide.last
    if last is None:
        return [()]
    role = ROLES.get(last.state, "strong")
    large = SHORT_WORDS.get(last.state, f"TIR {_bare(last.tir_mm, options.unit)}")
    check = guide.batch.checks.get(last.recording_id) if guide.batch is not None else None
    if check is not None:
        large, role = CHECK_WORDS[check.state]
    if width_of(large) > width - 4:
        large = large.replace("NOT DECIDED", "UNDECIDED")
    words: list[Row] = [(("  ", "plain"), *one) for one in wrapped(guide.last_words, width - 4, role, 3)]
    return [
        *[(("  ", "plain"), (one, role)) for one in big(large, ascii_only=options.ascii_only)],
        *words,
    ]


def _table(guide: BatchGuide, options: DisplayOptions, room: int, scrolled: int) -> list[Row]:
    """Return the newest parts, those measured last at the end."""
    batch = guide.batch
    if batch is None or room < 2 or not batch.parts:
        return []
    order = {one.serial: k for k, one in enumerate(batch.sweeps)}
    parts = sorted(batch.parts.values(), key=lambda one: order[one.serial])
    end = max(1, len(parts) - scrolled)
    shown = parts[max(0, end - room + 1) : end]
    wide = max(len("serial"), *(len(one.serial) for one in shown))
    wide = min(wide, 24)
    unit = options.unit
    head_row: Row = ((f"  {'serial':<{wide}}  {'TIR ' + unit:>9}  {'95 %':<18}  state", "dim"),)
    return [head_row, *(_part(one, wide, unit) for one in shown)]


def _bare(length_mm: float, unit: str) -> str:
    return format_length(length_mm, unit).removesuffix(f" {unit}")


def _part(one: MeasuredPart, wide: int, unit: str) -> Row:
    tir, interval = ("-", "-")
    if one.counts:
        low, high = (_bare(end, unit) for end in (one.tir_low_mm, one.tir_high_mm))
        tir, interval = _bare(one.tir_mm, unit), f"{low} to {high}"
    return (
        (f"  {one.serial[:wide]:<{wide}}  {tir:>9}  {interval:<18}  ", "plain"),
        (one.words, ROLES.get(one.state, "plain")),
    )


def _field(line: str, options: DisplayOptions) -> Row:
    if not line:
        return ((f"  {HINT}", "dim"),)
    cursor = "_" if options.ascii_only else "▁"
    return (("  line: ", "dim"), (f"{line}{cursor}", "strong"))
