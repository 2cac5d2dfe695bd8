"""What the steps in the part's own bearings have shown: end float, as found, as left."""

from analysis.errors import FullturnError
from analysis.measurands import compare
from analysis.results import CheckState
from analysis.setup import CompareEffect
from logger.inputs import AnalysedSweep
from logger.job.finding import NOT_MEASURED, Finding, LengthWriter, MissingSweep
from logger.job.step_sweeps import StepSweeps
from logger.job.steps import BY_KEY
from logger.reports import end_float as end_float_report
from logger.reports.sweep import answer_sentence, trust_lines
from logger.studies import predict


def end_float(sweeps: StepSweeps, writer: LengthWriter, limit_words: str) -> Finding:
    """Tell the push-pull capture, and the gate for a face sweep; ``limit_words`` as the limit was written."""
    found = sweeps.end_float()
    assert found is not None
    report = end_float_report.as_text(found, limit_words or "entered", writer.unit)
    if found.end_float is None:
        return Finding(report.answer, NOT_MEASURED, "not measured", report.notes)
    lines = list(report.notes[1:])
    if found.state is CheckState.REFUSED:
        lines.insert(
            0, "Take it out first: shims and preload as the maker's manual says. SPACE measures again."
        )
    word = "no limit" if found.state is None else found.state
    return Finding(
        report.answer, found.state or "strong", f"{writer.bare(found.end_float.value)} {word}", tuple(lines)
    )


def as_found(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell the part as found."""
    return _verdict(sweeps.last("as-found"), writer, _float_notes(sweeps, writer))


def as_left(sweeps: StepSweeps, writer: LengthWriter) -> Finding:
    """Tell the part as left, what has changed, and whether the prediction came true."""
    left, own = sweeps.last("as-left"), sweeps.own()
    lines = []
    if own is None:
        lines.append("Not compared: as found was skipped or cannot be read.")
    else:
        lines += [*_change(own, left, writer), *_came_true(sweeps, own, left, writer)]
    if sweeps.job.skipped:
        gone = ", ".join(BY_KEY[key].title for key in sweeps.job.skipped)
        lines.append(f"Skipped in this job: {gone}.")
    return _verdict(left, writer, lines)


def _verdict(sweep: AnalysedSweep, writer: LengthWriter, lines: list[str]) -> Finding:
    result = sweep.result
    state = result.decision.state if result.decision else "strong"
    value = result.decision.number.value if result.decision else result.pooled.tir_fit.value
    sentence = answer_sentence(result, writer.unit)
    return Finding(
        sentence, state, writer.figure(value, state), (*trust_lines(result), *lines), sweep.vectors
    )


def _float_notes(sweeps: StepSweeps, writer: LengthWriter) -> list[str]:
    try:
        found = sweeps.end_float()
    except MissingSweep as error:
        return [str(error)]
    if found is None or found.end_float is None:
        return ["End float was not measured: it may be in this reading."]
    if found.state is not CheckState.REFUSED:
        return []
    refused = end_float_report.GATE_WORDS[CheckState.REFUSED]
    return [
        f"End float was {writer.length(found.end_float.value)} when last measured, {refused}. If nobody has, "
        "it is in this reading."
    ]


def _change(own: AnalysedSweep, left: AnalysedSweep, writer: LengthWriter) -> list[str]:
    found = compare(own.result, left.result)
    blocking = [one.field for one in found.differences if one.effect == CompareEffect.BLOCKS]
    if blocking:
        return [f"NOT COMPARABLE with as found: {', '.join(blocking)} differ."]
    assert found.first is not None
    a, b = (writer.length(sweep.result.pooled.tir_fit.value) for sweep in (own, left))
    moved = f"{writer.length(found.first.tir_first.value)} @ {found.first.high_side.value:.0f} deg"
    return [
        f"As found {a}, as left {b}; order 1 changed by {moved} on the part (vectors, after less before)."
    ]


def _came_true(
    sweeps: StepSweeps, own: AnalysedSweep, left: AnalysedSweep, writer: LengthWriter
) -> list[str]:
    try:
        now = sweeps.mountings()[-1]
        predicted = predict(own, now, own.result.setup.surface).predicted
    except FullturnError:
        return []
    found = left.on_part(own)
    off = writer.length((found - predicted).tir_first_mm)
    return [
        f"Predicted {writer.vector(predicted)}, found {writer.vector(found)} (order 1): they differ by {off}."
    ]
