"""What the steps on the lathe have shown: mountings, half turns, the prediction, the cut card."""

from analysis.errors import FullturnError
from analysis.numerics import OrderVectors
from analysis.sweep import ON_THE_CUTTING_MOUNT
from analysis.units import format_count, parse_length
from logger.inputs import AnalysedSweep
from logger.job.finding import NOT_TOLD, STOP, Finding, LengthWriter, MissingSweep
from logger.job.step_sweeps import StepSweeps, best_next
from logger.reports.cut import card_section, cut_by_radius, prediction_sentence, said_of
from logger.reports.late_gauge import in_short
from logger.reports.phrases import printable
from logger.reports.sweep import tir_words, trust_lines
from logger.studies import CARD_LENGTHS, CutStudy, card_of, predict, study_cut

BEFORE_IT_CAME_OFF = (
    "The part came off for the half turn: this is of the mounting BEFORE it. Sweep what is on the lathe now."
)


def arbor(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell the arbor alone."""
    sweep = sweeps.last("arbor")
    tir = writer.length(sweep.result.pooled.tir_fit.value)
    return Finding(
        f"Spindle and arbor alone have {writer.vector(sweep.vectors)} on the arbor (TIR of order 1 @ high "
        f"side); {tir} in all orders.",
        figure=f"S {writer.bare(sweep.vectors.tir_first_mm)} @ {sweep.vectors.high_side_deg:.0f}",
        lines=tuple(trust_lines(sweep.result)),
        curve=sweep.vectors,
    )


def mounting(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell the last mounting: what a perfect cut on it would leave."""
    every = [sweeps.of(one, one.step) for one in sweeps.job.of("mounting")]
    return _advice(sweeps, writer, every, *_advised(sweeps, writer, every[-1]))


def figures(sweeps: StepSweeps, writer: LengthWriter) -> dict[str, str]:
    """Return what a cut on each mounting would leave, by its sweep; what cannot be told is left out."""
    found = {}
    for one in sweeps.job.of("mounting"):
        try:
            _, advised = _advised(sweeps, writer, sweeps.of(one, one.step))
        except FullturnError:
            continue
        if advised is not None:
            found[one.id] = writer.figure(advised.prediction.tir.value, advised.advice)
    return found


def predicted(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell what a cut on the mounting of now would leave; the scatter counts where the part came off."""
    every, off = sweeps.mountings(), sweeps.job.came_off
    advice = _advice(sweeps, writer, every, *_advised(sweeps, writer, every[-1], comes_off=off))
    lines = (BEFORE_IT_CAME_OFF, *advice.lines) if off else advice.lines
    return Finding(advice.sentence, advice.state, advice.figure, lines, advice.curve)


def _advised(
    sweeps: StepSweeps, writer: LengthWriter, one: AnalysedSweep, *, comes_off: bool = False
) -> tuple[str, CutStudy | None]:
    """Return the sentence about a mounting, and the advice; None without a limit."""
    own = sweeps.last("as-found")
    surface, limit = own.result.setup.surface, own.capture.setup.limit
    mounts = [each.on_part(own) - own.on_part() for each in sweeps.mountings()] if comes_off else []
    if limit is None:
        tir_mm = predict(own, one, surface, mounts=mounts, comes_off=comes_off).tir.value
        return (
            f"A perfect cut on this mounting would leave {writer.length(tir_mm)} TIR in the part's own "
            "bearings; no limit was entered to hold it against."
        ), None
    advised = study_cut(own, one, limit, surface, mounts=mounts, comes_off=comes_off)
    return prediction_sentence(advised, writer.unit), advised


def _advice(
    sweeps: StepSweeps, writer: LengthWriter, every: list[AnalysedSweep], sentence: str, now: CutStudy | None
) -> Finding:
    if now is None:
        return Finding(sentence, figure="no limit")
    own, mount = sweeps.last("as-found"), now.prediction.mount_first
    lines = [
        "Mount vector (lathe less bearings): "
        f"{writer.length(mount.tir_first.value)} @ {mount.high_side.value:.0f} deg on the part; a cut leaves "
        "minus this."
    ]
    if now.advice == "undecided":
        lines.append(f"Not decided because: {printable(now.decision.why)}.")
        if now.decision.more_turns:
            lines.append(
                f"{format_count(now.decision.more_turns, 'more turn')} would decide, if only "
                "scatter is in the way (G)."
            )
    last = every[-1].on_part(own)
    for number, sweep in enumerate(every[:-1], 1):
        off = writer.vector(sweep.on_part(own) - last)
        lines.append(f"Mounting {number} differed from this one by {off}: dirt, or how it sat.")
    lines += [f"Note: {note}." for note in said_of(now, writer.unit)]
    figure = writer.figure(now.prediction.tir.value, now.advice)
    return Finding(sentence, now.advice, figure, tuple(lines), now.prediction.predicted)


def half_before(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell part and spindle apart before the cut."""
    half, mounted = sweeps.last("half-before"), sweeps.last("mounting")
    sources = sweeps.error_sources()
    spindle, separation = sources.share("spindle"), sources.separation
    if spindle is None or separation is None:
        raise MissingSweep("No mounting was measured before the re-indexing: nothing can be separated.")
    if not separation.first_separable:
        words = "Order 1 cannot be separated with these positions: no number is given."
        return Finding(words, NOT_TOLD, "not told", (best_next(sources),))
    first = spindle.first
    low, high = (writer.length(end) for end in first.tir_first.interval())
    lines = [
        f"Once round the lathe read {writer.vector(mounted.on_part())} on the part; re-indexed by "
        f"{_turned(half.known_index() - mounted.known_index()):.0f} deg it reads "
        f"{writer.vector(half.on_part(mounted))}: what moved on the part is not the part's.",
        f"Spindle, 95 %: {low} to {high}.",
        best_next(sources),
        _late(sweeps),
    ]
    return Finding(
        f"The part with its seat has {writer.vector(separation.part)} on the part; spindle, arbor and cones "
        f"have {writer.vector(spindle.vectors)} on the arbor (TIR of order 1 @ high side).",
        figure=f"S {writer.bare(first.tir_first.value)} @ {first.high_side.value:.0f}",
        lines=tuple(line for line in lines if line),
        curve=half.vectors,
    )


def _late(sweeps: StepSweeps) -> str:
    """Tell what a delay that nothing tells does to part and spindle; empty where every delay is told."""
    study = sweeps.separation_study()
    return in_short(study.late_part) if study else ""


def planned_cut(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell the cut card of the mounting that is on the lathe now."""
    own, now = sweeps.last("as-found"), sweeps.mountings()[-1]
    _, advised = _advised(sweeps, writer, now)
    if advised is None:
        raise MissingSweep("No limit was entered: no cut is planned without the maker's own limit.")
    values = sweeps.job.values
    lengths = {key: parse_length(values[key], key).mm for key in CARD_LENGTHS if key in values}
    card = card_of(own, advised, lengths, own.result.setup.surface)
    section = card_section(card, writer.unit, by_radius=cut_by_radius([own]))
    lines = list(section.rows)
    if sweeps.job.came_off:
        lines.insert(0, BEFORE_IT_CAME_OFF)
    figure = "STOP" if card.stops else writer.bare(card.least_stock_mm)
    return Finding(section.title, STOP if card.stops else "strong", figure, tuple(lines), now.on_part(own))


def after_cut(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell what the lathe reads after the cut, which is no evidence of the result."""
    sweep = sweeps.last("after-cut")
    return Finding(
        f"The lathe reads {tir_words(sweep.result, writer.unit)} TIR, {ON_THE_CUTTING_MOUNT}.",
        figure="no evidence",
        lines=tuple(trust_lines(sweep.result)),
        curve=sweep.vectors,
    )


def half_after(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell the remount after the cut: the spindle's share again, and what it is blind to."""
    half, found = sweeps.last("half-after"), sweeps.remount()
    turned = _turned(found.step_deg)
    lines = []
    if found.blind_orders:
        orders = ", ".join(map(str, found.blind_orders[:4]))
        lines.append(f"At {turned:.0f} deg it is blind to orders {orders} and so on.")
    if 1 in found.blind_orders:
        words = f"Re-indexed by {turned:.0f} deg only, the remount shows nothing of order 1: turn it further."
        return Finding(words, NOT_TOLD, "not told", tuple(lines))
    return Finding(
        f"Re-indexed by {turned:.0f} deg the lathe reads {writer.vector(found.reads)} on the arbor, "
        f"{found.times:.2f} times the share of spindle, arbor and cones: they have "
        f"{writer.vector(found.spindle)}.",
        figure=f"{writer.bare(found.reads.tir_first_mm)} @ {found.reads.high_side_deg:.0f}",
        lines=(*_spindle_before(sweeps, writer, found.spindle), *lines, *trust_lines(half.result)),
        curve=found.reads,
    )


def _turned(step_deg: float) -> float:
    """Return by how much the part was re-indexed, 0 to 180 degrees, whichever way."""
    return abs((step_deg + 180.0) % 360.0 - 180.0)


def _spindle_before(sweeps: StepSweeps, writer: LengthWriter, spindle: OrderVectors) -> list[str]:
    try:
        before = sweeps.error_sources().share("spindle")
    except FullturnError:
        return []
    if before is None:
        return []
    off = writer.length((spindle - before.vectors).tir_first_mm)
    return [f"The half turn before the cut said {writer.vector(before.vectors)}: they differ by {off}."]
