"""The page of numbers, each of which opens into its formula."""

from collections.abc import Sequence

from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.rows import Row, page, wrapped
from logger.live.explain.formula import ExplainedNumber
from logger.live.pages.page_frame import bottom, head, listed
from logger.live.pages.turning import doubt_lines
from logger.live.state.view import View


def numbers_page(
    view: View,
    options: DisplayOptions,
    found: Sequence[ExplainedNumber],
    chosen: int,
    opened: bool,
    width: int,
    height: int,
) -> list[Row]:
    """Return every number; the chosen one opened into its formula with this sweep's values."""
    rows: list[Row] = [head(view, "6 Numbers", width, options), ()]
    if not found:
        rows.append((("  No numbers yet: turn once right round past the mark.", "plain"),))
        return page(rows, width, height)
    body: list[Row] = [
        ((f"{one.name:<32}", "plain"), (f"{one.value:<24}", "strong"), (one.term, "dim")) for one in found
    ]
    formula: list[Row] = []
    if opened:
        one = found[chosen]
        formula.append(
            ((f"  {options.rule * 3} {one.name} ({one.term}): show me {options.rule * 3}", "key"),)
        )
        for line in one.show_me:
            formula += [(("    ", "plain"), *part) for part in wrapped(line, width - 8)]
        formula.append(())
    else:
        for text, do in doubt_lines(view, options)[:3]:
            formula += wrapped(f"  doubt: {text}" + (f" -> {do}" if do else ""), width - 4, "doubt", 2)
    rows += listed(body, chosen, max(3, height - len(rows) - len(formula) - 1), options, width)
    rows += [*[()] * max(0, height - len(rows) - len(formula) - 1), *formula]
    rows.append(bottom(view, "close the formula" if opened else "show me: open the number", width))
    return page(rows, width, height)
