"""The arithmetic behind a page, unfolded: what a laboratory's record adds after the first page."""

import math
import platform
from collections.abc import Iterable, Sequence
from importlib.metadata import version

import numpy as np

from analysis.numerics import UncertainNumber, t_quantile
from analysis.results import SweepResult
from analysis.setup import Quantity
from analysis.sweep import NUMERICS_VERSION
from analysis.uncertainty import LineOrigin
from logger.inputs import AnalysedSweep
from logger.page.content import Chapter
from logger.page.figures import Seen
from logger.page.numbers_table import TextTable, in_words, whole_number
from logger.page.paragraphs import rule_sentences
from logger.page.part_on_page import MeasuredPart
from logger.page.readings_file import ReadingsFile
from logger.page.residual_figure import residual_figure, strip_mm, turn_by_turn_figure
from logger.page.shown import known, no_bare_zero, shown
from logger.program_version import PROGRAM_VERSION
from logger.reports.budget import EVEN

_SECTOR_DEG = 30
_MANY = 10_000
"""More degrees of freedom than this are as good as infinitely many."""
KNOWN_FROM = {LineOrigin.CERTIFICATE: "gauge's certificate"}
LIBRARIES = ("numpy", "scipy")


def chapters(part: MeasuredPart, unit: str, files: Sequence[ReadingsFile] = ()) -> list[Chapter]:
    """Return the chapters of the annex, each sweep by itself, lengths in mm to six digits.

    ``files``: the readings as they are written beside the record.
    """
    found: list[Chapter] = []
    for title, one, seen in zip(part.titles, part.sweeps, part.seen(), strict=True):
        found += [
            _setup(title, one),
            _turns(title, one.result),
            _orders(title, one.result),
            _tir(title, one.result),
            _budget(title, one.result, unit),
            Chapter(f"{title}: decision", tuple(rule_sentences(one.result, unit))),
            _checks(title, one.result),
            *_left_over(title, seen),
            *_in_time(title, one),
            *_turn_by_turn(title, one),
            *_with_and_without(title, one),
        ]
    return [*found, *_readings(files), _again(part)]


def _mm(value: float) -> str:
    text = f"{value:.6f}"
    return "0.000000" if float(text) == 0.0 else text


def _setup(title: str, one: AnalysedSweep) -> Chapter:
    rows = tuple((key, known(value)) for key, value in one.result.setup.text.items())
    return Chapter(f"{title}: set-up as recorded", table=TextTable(("key", "as written"), rows))


def _turns(title: str, result: SweepResult) -> Chapter:
    rows = tuple(
        (
            str(turn.turn + 1),
            "with" if turn.direction > 0 else "against",
            str(turn.values),
            f"{turn.largest_gap_deg:.1f}",
            f"{turn.rpm:.1f}",
            _mm(turn.tir_raw_mm),
            _mm(turn.tir_fit_mm),
            f"{turn.high_point_deg % 360.0:.1f}",
        )
        for turn in result.turns
    )
    head = ("turn", "growing angle", "values", "gap deg", "rpm", "TIR dial mm", "TIR fit mm", "high deg")
    return Chapter(f"{title}: each turn by itself", table=TextTable(head, rows))


def _orders(title: str, result: SweepResult) -> Chapter:
    rows = tuple(
        (
            str(order.n),
            _mm(order.cos_mm),
            _mm(order.sin_mm),
            _mm(order.u_mm),
            _mm(order.amplitude_mm),
            _mm(order.u_amplitude_mm),
            f"{order.high_deg:.1f}",
        )
        for order in result.pooled.orders
    )
    head = ("order", "cos mm", "sin mm", "u of each mm", "amplitude mm", "u mm", "high deg")
    freedom = result.pooled.dof
    words = f"{freedom:.0f} degrees of freedom" if math.isfinite(freedom) else "no degree of freedom is left"
    return Chapter(
        f"{title}: orders by least squares",
        (f"reading(phi) = level + sum of cos n phi and sin n phi; {words}.",),
        TextTable(head, rows),
    )


def _tir(title: str, result: SweepResult) -> Chapter:
    pooled = result.pooled
    if result.few_places:
        sum_of = f"max - min of the readings at the places: {_mm(pooled.tir_raw_mm)} mm."
        return Chapter(f"{title}: TIR as a sum", (sum_of,))
    high, low = (float(end) for end in (result.curve_mm.max(), result.curve_mm.min()))
    bias = (high - low) - pooled.tir_fit.value
    taken = (
        f"{_mm(abs(bias))} mm of what noise adds to a max - min (and the grid drawn here) "
        f"{'taken off' if bias >= 0 else 'added'}"
    )
    return Chapter(
        f"{title}: TIR as a sum",
        (
            f"Highest {_mm(high)} mm at {pooled.high_point.value % 360.0:.1f} deg less lowest {_mm(low)} mm "
            f"at {pooled.low_point_deg % 360.0:.1f} deg = {_mm(high - low)} mm; {taken}: "
            f"{_mm(pooled.tir_fit.value)} mm.",
        ),
    )


def _budget(title: str, result: SweepResult, unit: str) -> Chapter:
    quantity = Quantity(result.decision.quantity) if result.decision else Quantity.TIR
    number = whole_number(result, quantity)
    squares = math.fsum(part.u**2 for part in number.parts.values()) or 1.0
    origins = {line.source: KNOWN_FROM.get(line.origin, str(line.origin)) for line in result.unseen}
    rows = tuple(
        (
            name,
            origins.get(name, "sweep"),
            _mm(part.given),
            part.distribution.name,
            f"{part.distribution.divisor:.3f}",
            f"{part.sensitivity:.4g}",
            _mm(part.u),
            f"{part.dof:.0f}" if math.isfinite(part.dof) else "infinite",
            f"{100.0 * part.u**2 / squares:.1f}",
            f"{part.shift:+.6f}" if part.one_sided else "-",
        )
        for name, part in number.parts.items()
    )
    head = (
        "source",
        "known from",
        "given mm",
        "distribution",
        "divisor",
        "sensitivity",
        "u mm",
        "degrees of freedom",
        "share %",
        "moves one side by mm",
    )
    freedom = f"{number.dof:.0f}" if number.dof < _MANY else f"over {_MANY}"
    low, high = number.interval()
    return Chapter(
        f"{title}: budget of the uncertainty",
        (
            f"{quantity}: {in_words(number, unit)}; ends at 95 % {_mm(low)} and {_mm(high)} mm.",
            f"Combined standard uncertainty {_mm(number.u)} mm, {freedom} effective degrees of freedom "
            "(Welch and Satterthwaite). u = given / divisor x sensitivity (JCGM 100:2008, 4.3, 5.1.3).",
            _coverage(number),
        ),
        TextTable(head, rows, (38.0, 20.0, 16.0, 20.0, 13.0, 17.0, 16.0, 17.0, 12.0, 17.0)),
    )


def _coverage(number: UncertainNumber) -> str:
    """Return U and k, and what the interval has beside them: it is not always even about its value."""
    if not (number.u > 0.0 and math.isfinite(number.u)):
        return "No standard uncertainty is known, so there is no factor k."
    factor = t_quantile(0.975, number.dof)
    (low, high), wide = number.interval(), factor * number.u
    even = max(abs(number.value - low - wide), abs(high - number.value - wide)) <= EVEN * wide
    rest = "" if even else " The ends above hold besides what moves one side, and the bias of a max - min."
    return f"k = {factor:.2f} (Student's t, 95 %): U = k u = {_mm(wide)} mm.{rest}"


def _checks(title: str, result: SweepResult) -> Chapter:
    rows = tuple(
        (check.name, str(check.state), shown(no_bare_zero(check.text), 300)) for check in result.checks
    )
    return Chapter(
        f"{title}: every check",
        table=TextTable(("check", "state", "what was seen"), rows, (34.0, 18.0, 134.0)),
    )


def _left_over(title: str, seen: Seen) -> Iterable[Chapter]:
    """Yield what readings lie from the curve, sector by sector."""
    result = seen.result
    if result.few_places:
        return
    middle = np.interp(np.arange(360) + 0.5, result.curve_deg, result.curve_mm, period=360.0)
    rows = []
    for start in range(0, 360, _SECTOR_DEG):
        here = slice(start, start + _SECTOR_DEG)
        low, high = seen.low_mm[here] - middle[here], seen.high_mm[here] - middle[here]
        if np.isfinite(low).any():
            rows.append(
                (f"{start} to {start + _SECTOR_DEG}", f"{np.nanmin(low):+.6f}", f"{np.nanmax(high):+.6f}")
            )
    head = ("deg", "lowest reading less curve mm", "highest reading less curve mm")
    yield Chapter(f"{title}: what the curve leaves", table=TextTable(head, tuple(rows)))


def _readings(files: Sequence[ReadingsFile]) -> Iterable[Chapter]:
    if files:
        rows = tuple((one.title, shown(one.path.name), str(one.readings), one.sha256) for one in files)
        head = ("readings", "file beside this record", "number", "sha256")
        table = TextTable(head, rows, (24.0, 60.0, 16.0, 86.0))
        yield Chapter("Annex: the readings", table=table)


def _in_time(title: str, one: AnalysedSweep) -> Iterable[Chapter]:
    """Yield what readings lie from the curve, in the order they were taken."""
    if one.result.few_places or not one.capture.timed:
        return
    said = "Lowest to highest reading less curve at each moment, drift taken off."
    yield Chapter(f"{title}: residuals in time", (said,), drawings=(residual_figure(title, one),))


def _turn_by_turn(title: str, one: AnalysedSweep) -> Iterable[Chapter]:
    """Yield what readings of each turn lie from the common curve: what comes back in each is no noise."""
    if one.result.few_places or len(one.result.turns) < 2:
        return
    said = f"Lowest to highest reading less curve, drift taken off; each strip is {strip_mm(one):g} mm tall."
    drawn = (turn_by_turn_figure(title, one),)
    yield Chapter(f"{title}: residuals turn over turn", (said,), drawings=drawn)


def _with_and_without(title: str, one: AnalysedSweep) -> Iterable[Chapter]:
    """Yield the result with and without what a person left out, where anything was."""
    whole = one.with_all_counted_in
    if whole is None:
        return
    both = (whole, one.result)
    rows = [
        (name, *(_mm(value) for value in values), f"{values[1] - values[0]:+.6f}")
        for name, values in (
            ("TIR, fitted curve, mm", [each.pooled.tir_fit.value for each in both]),
            ("TIR a dial shows, mm", [each.pooled.tir_raw_mm for each in both]),
            ("amplitude of order 1, mm", [each.pooled.orders[0].amplitude_mm for each in both]),
        )
    ]
    high = [each.pooled.high_point.value % 360.0 for each in both]
    turned = (high[1] - high[0] + 180.0) % 360.0 - 180.0
    rows.append(("high point, deg", *(f"{each:.1f}" for each in high), f"{turned:+.1f}"))
    rows.append(
        ("turns", *(str(len(each.turns)) for each in both), f"{len(both[1].turns) - len(both[0].turns):+d}")
    )
    states = [each.decision.state.words if each.decision else "none" for each in both]
    rows.append(("decision", *states, "as it was" if states[0] == states[1] else "another"))
    head = ("", "with all of it", "without what was left out", "difference")
    said = "The second column is what the record states; reasons stand on its first page."
    yield Chapter(f"{title}: with and without what a person left out", (said,), TextTable(head, tuple(rows)))


def _again(part: MeasuredPart) -> Chapter:
    commands: Sequence[str] = [f"fullturn sweep {shown(one.origin.file)} --stages" for one in part.sweeps]
    libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return Chapter(
        "How to repeat it",
        (
            *(f"{command}." for command in commands),
            f"fullturn {PROGRAM_VERSION}, numerics {NUMERICS_VERSION}, Python {platform.python_version()}, "
            f"{libraries}; one thread for linear algebra.",
            *(f"{known(one.origin.file)}: sha256 {known(one.origin.sha256)}." for one in part.sweeps),
        ),
    )
