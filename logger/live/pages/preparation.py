"""Pages of preparing: the set-up, the 20-second check, learning the encoder, typing readings."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from analysis.angle import EncoderCalibration
from analysis.results import CheckState
from analysis.setup import FORM_FIELDS
from analysis.units import MM_PER
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.lengths import reading_text
from logger.live.drawing.plots import Plot, strip
from logger.live.drawing.rows import Row, page, shortened, wrapped
from logger.live.pages.page_frame import bottom, head, listed
from logger.live.state.pass_trace import BINS
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.view import View
from logger.live.tools.indicator_check_run import STEPS, IndicatorCheckRun
from logger.live.tools.typed_entry import TypedEntry
from logger.reports.sweep import answer_sentence, trust_lines

VALUE_CELLS = 26
STATE_ROLES = {CheckState.CLEAR: "within", CheckState.DOUBTFUL: "doubt", CheckState.REFUSED: "over"}


def setup_page(
    view: View,
    options: DisplayOptions,
    actions: Sequence[str],
    chosen: int,
    primary_label: str,
    width: int,
    height: int,
) -> list[Row]:
    """Return the set-up: what can be begun from it, then a field a line."""
    lines: list[Row] = [((f"{name:<18}", "key"), ("begin with SPACE", "dim")) for name in actions]
    for field in FORM_FIELDS:
        value = field.written_in(view.setup.text)
        lines.append(
            (
                (f"{field.label:<18}", "plain"),
                (f"{shortened(value or '-', VALUE_CELLS):<{VALUE_CELLS}}", "strong" if value else "dim"),
                (f" {field.hint}", "dim"),
            )
        )
    rows: list[Row] = [head(view, "2 Set-up", width, options), ()]
    rows += listed(lines, chosen, height - 5, options, width)
    rows += [*[()] * max(0, height - len(rows) - 2)]
    field_words = "arrows choose, SPACE types or takes the next value, left and right too"
    rows.append(((f"  {field_words}", "dim"),))
    rows.append(bottom(view, primary_label, width))
    return page(rows, width, height)


def check_page(
    view: View, options: DisplayOptions, run: IndicatorCheckRun, width: int, height: int
) -> list[Row]:
    """Return the 20-second check."""
    rows: list[Row] = [head(view, "20-second check", width, options), ()]
    for k, (name, words) in enumerate(STEPS):
        if k < len(run.done):
            check = run.done[k]
            rows.append(
                (
                    (f"  {name:<7}", "strong"),
                    (f"{check.state:<10}", STATE_ROLES[check.state]),
                    (check.text, "plain"),
                )
            )
            if check.do:
                rows.append(((f"         -> {check.do}", "doubt"),))
        elif k == run.at:
            rows += [(), ((f"  {name:<7}", "key"), (words, "strong")), ()]
        else:
            rows.append(((f"  {name:<7}", "dim"), (words, "dim")))
    if run.waiting:
        rows.append((("  four seconds: touch nothing ...", "strong"),))
    elif run.problem:
        rows.append(((f"  {run.problem}", "doubt"),))
    shown = "" if view.reading_mm is None else reading_text(view.reading_mm, view.step_mm, options.unit)
    rows += [(), ((f"  the indicator shows {shown} {options.unit}", "plain"),)]
    rows += [*[()] * max(0, height - len(rows) - 1)]
    rows.append(bottom(view, "back to the set-up" if run.over else "do this step", width))
    return page(rows, width, height)


def learn_page(
    view: View,
    options: DisplayOptions,
    counts: list[int],
    calibration: EncoderCalibration | None,
    problem: str,
    width: int,
    height: int,
) -> list[Row]:
    """Return the page on which the encoder is learnt."""
    rows: list[Row] = [head(view, "Learn the encoder", width, options), ()]
    text = (
        f"Turn clockwise as seen from the {view.setup.declared_end}'s end. Each time the mark stands under "
        "the tip, stop and press SPACE. Three times at least, better six."
    )
    rows += [(("  ", "plain"), *one) for one in wrapped(text, width - 4)]
    rows += [(), ((f"  pressed {len(counts)} times", "strong"),)]
    rows += [((f"    {b - a:+d} counts", "plain"),) for a, b in pairwise(counts)][-8:]
    if calibration is not None:
        low, high = calibration.counts_per_turn.interval()
        rows += [
            (),
            (
                (f"  {calibration.counts_per_turn.value:.2f} counts a turn", "strong"),
                (f", 95 %: {low:.2f} to {high:.2f}", "plain"),
            ),
            ((f"  sense {calibration.sense:+d}; slip {calibration.slip_deg:.2f} deg a turn", "plain"),),
            (("  right arrow: use it", "key"),),
        ]
    elif problem:
        rows += [(), ((f"  {problem}", "doubt"),)]
    rows += [*[()] * max(0, height - len(rows) - 1)]
    rows.append(bottom(view, "the mark is under the tip now", width))
    return page(rows, width, height)


def typed_choice(
    view: View, options: DisplayOptions, names: list[str], chosen: int, width: int, height: int
) -> list[Row]:
    """Return the page on which the places are chosen."""
    rows: list[Row] = [
        head(view, "Typed readings", width, options),
        (),
        (("  At how many places?", "strong"),),
        (),
    ]
    rows += listed([((name, "plain"),) for name in names], chosen, height - 8, options, width)
    rows += [*[()] * max(0, height - len(rows) - 2)]
    rows.append(((f"  readings in {options.unit} (I changes)", "plain"),))
    rows.append(bottom(view, "begin", width))
    return page(rows, width, height)


def typed_page(
    view: View, options: DisplayOptions, run: TypedEntry, analysed: SweepSoFar | None, width: int, height: int
) -> list[Row]:
    """Return the page of a run of typing: what is asked for, what is there, drawn as it goes."""
    rows: list[Row] = [head(view, "Typed readings", width, options), ()]
    if not run.over:
        number = len(run.typed) + 1
        again = number > len(run.deg)
        where = f"{run.place_deg:.0f} deg, {round(run.place_deg / 30.0) % 12 or 12} o'clock from the mark"
        asked = f"back at the start ({where})" if again else f"place {number} of {len(run.deg)}: {where}"
        rows.append(((f"  {asked}", "strong"),))
        rows.append((("  reading  ", "plain"), (f"{run.buffer}_", "reading"), (f"  {run.unit}", "plain")))
        rows.append(((f"  {run.problem}", "doubt"),))
    elif analysed is not None and analysed.result is not None:
        for line in (answer_sentence(analysed.result, options.unit), *trust_lines(analysed.result)):
            rows += [(("  ", "plain"), *one) for one in wrapped(line, width - 4, "strong", 3)]
        rows += [((f"  {line}", "dim"),) for line in analysed.result.remarks[:2]]
    elif analysed is not None:
        rows += [(("  ", "plain"), *one) for one in wrapped(analysed.problem, width - 4, "doubt", 3)]
    there = "  ".join(f"{deg:.0f}:{text}" for deg, text in zip((*run.deg, 360.0), run.typed, strict=False))
    rows += [(), *[(("  ", "plain"), *one) for one in wrapped(there, width - 4, "dim", 2)]]
    room = height - len(rows) - 2
    if run.typed and room > 4:
        rows += [(("  ", "plain"), *one) for one in strip(_typed_plot(run, options), width - 4, room, 1e-4)]
    rows += [*[()] * max(0, height - len(rows) - 2)]
    rows.append((("  digits, then Enter or SPACE; backspace takes back; Esc ends", "dim"),))
    rows.append(bottom(view, "close" if run.over else "take this reading", width))
    return page(rows, width, height)


def _typed_plot(run: TypedEntry, options: DisplayOptions) -> Plot:
    low = np.full(BINS, np.nan)
    per = MM_PER[run.unit]
    for deg, value in zip(run.deg, run.values(), strict=False):
        at = math.floor(deg * BINS / 360.0)
        low[(at + np.arange(-2, 3)) % BINS] = value * per
    return Plot(low, low.copy(), None, None, thick=True, ascii_only=options.ascii_only)
