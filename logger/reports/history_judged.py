"""Recordings analysed again, checks of a standard, and what hangs on a gauge, as text and as JSON.

The keys are a promise.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from analysis.units import format_count, format_length
from logger.reports.phrases import STATE_WORDS, Report, Section
from logger.reports.to_json import to_json
from logger.studies import AnalysedAgain, CheckChart, CheckPoint, Suspect

COLUMNS = 30
"""Width of the picture of a check, characters; the limit stands at two thirds of it."""
AT_LIMIT = 20
ONE_RULE = (
    "One rule on size and side together. It tells that the check differs, never why: part, gauge, stand or "
    "hand. Silence is no evidence of less than the shift named."
)


# --- analysed again --------------------------------------------------------------------------------------


def again_as_json(found: Sequence[AnalysedAgain], left: Mapping[str, str]) -> dict[str, Any]:
    """Return the object of ``history --again``; ``left`` says of recordings why they were not analysed."""
    return to_json(
        {
            "again": [
                {
                    "recording_id": one.sweep.recording_id,
                    "edition": one.edition,
                    "was_mm": one.was_mm,
                    "is_mm": one.is_mm,
                    "was_state": one.sweep.state,
                    "is_state": one.is_state,
                    "why": list(one.why),
                }
                for one in _flipped_first(found)
            ],
            "not_analysed": [{"recording_id": key, "why": why} for key, why in left.items()],
        }
    )


def again_as_text(found: Sequence[AnalysedAgain], left: Mapping[str, str], where: str, unit: str) -> Report:
    """Return the text of ``history --again``."""
    moved = sum(one.moved for one in found)
    flipped = sum(one.flipped for one in found)
    return Report(
        f"{format_count(len(found), 'recording')} analysed again: {moved} say something else "
        "and are stored beside the "
        f"earlier result, {flipped} of them decide otherwise ({where})",
        rows=tuple(_again(one, unit) for one in _flipped_first(found)),
        sections=(
            (Section("Not analysed:", tuple(f"{key}  {why}" for key, why in left.items())),) if left else ()
        ),
    )


def _flipped_first(found: Sequence[AnalysedAgain]) -> list[AnalysedAgain]:
    return sorted(found, key=lambda one: not one.flipped)


def _again(one: AnalysedAgain, unit: str) -> str:
    named = f"rec/{one.sweep.recording_id[:8]}  {one.sweep.part or '(no part named)'}"
    if not one.moved:
        return f"{named}  {_length(one.is_mm, unit)}  {'; '.join(one.why)}"
    was, now = (STATE_WORDS[state] if state else "no decision" for state in (one.sweep.state, one.is_state))
    decided = f"{was} to {now}" if one.flipped else now
    return (
        f"{named}  {_length(one.was_mm, unit)} to {_length(one.is_mm, unit)}  {decided}  edition "
        f"{one.edition}: {'; '.join(one.why)}"
    )


def _length(mm: float | None, unit: str) -> str:
    return "-" if mm is None else format_length(mm, unit)


# --- a check standard ------------------------------------------------------------------------------------


def chart_as_json(chart: CheckChart) -> dict[str, Any]:
    """Return the object of ``history --chart``."""
    baseline = chart.baseline
    return to_json(
        {
            "chart": {
                "n0": baseline.n,
                "mean_cos_mm": baseline.mean_mm.real,
                "mean_sin_mm": baseline.mean_mm.imag,
                "s_mm": baseline.s_mm,
                "shift_found_mm": baseline.shift_found_mm,
                "turn_found_deg": baseline.turn_found_deg,
                "points": [
                    {
                        "recording_id": one.sweep.recording_id,
                        "measured": one.sweep.started,
                        "d2": one.distance,
                        "limit": baseline.limit,
                        "out": one.out,
                        "baseline": one.in_baseline,
                        "repeats_s_mm": one.repeats_s_mm,
                        "repeats_limit_mm": one.repeats_limit_mm,
                        "repeats_wide": one.wide,
                    }
                    for one in chart.points
                ],
                "without_vector": [one.recording_id for one in chart.without_vector],
                "repeats_s_mm": chart.repeats.s_mm if chart.repeats else None,
                "repeats_dof": chart.repeats.dof if chart.repeats else None,
            }
        }
    )


def chart_as_text(chart: CheckChart, part: str, unit: str) -> Report:
    """Return the text of ``history --chart``; at least one check was judged."""
    baseline, newest = chart.baseline, chart.judged[-1]
    ring = format_length(abs(baseline.mean_mm), unit)
    turned = baseline.turn_found_deg
    or_turned = "" if turned is None else f", or this part's {ring} turned by {turned:.0f} deg,"
    notes = (
        f"A shift of {format_length(baseline.shift_found_mm, unit)}{or_turned} is found with 90 %.",
        ONE_RULE,
        *(
            [
                f"{len(chart.without_vector)} checks without angles from a mark tell of no side and "
                "are left out."
            ]
            if chart.without_vector
            else []
        ),
        *(
            ["`fullturn history --suspect` lists what the same gauge has measured since."]
            if newest.out
            else []
        ),
    )
    return Report(
        _check(newest, chart, part, unit),
        rows=tuple(f"{_words(one, chart)}  [{_drawn(one, chart)}]" for one in chart.points),
        sections=(
            Section("| is the limit; # the square of the distance from the baseline's mean."),
            *_repeats(chart, unit),
            Section("", notes=notes),
        ),
    )


def _repeats(chart: CheckChart, unit: str) -> list[Section]:
    """Return the panel of repeats: how the turns of each check scatter, against those of the baseline."""
    repeats = chart.repeats
    if repeats is None:
        return []
    rows = [
        f"{one.sweep.started}  s {format_length(one.repeats_s_mm, unit)} of "
        f"{format_length(one.repeats_limit_mm, unit)}  {'WIDE' if one.wide else 'as before':<9}  "
        f"[{_bar(one.repeats_s_mm / one.repeats_limit_mm)}]"
        for one in chart.points
        if one.repeats_s_mm is not None and one.repeats_limit_mm is not None
    ]
    return [
        Section(
            "Repeats, the turns within a check: | is the limit; # their s.",
            tuple(rows),
            (
                f"s of one component is {format_length(repeats.s_mm, unit)} in the baseline, with "
                f"{repeats.dof:.0f} degrees of freedom; one check in {1.0 / repeats.alpha:.0f} is wide by "
                "chance. It is told beside, and decides nothing.",
            ),
        )
    ]


def fixed_as_text(chart: CheckChart, part: str, unit: str) -> Report:
    """Return the text of ``history --fix-baseline``."""
    baseline = chart.baseline
    return Report(
        f"Limits of {part!r} are fixed from {baseline.n} days, s {format_length(baseline.s_mm, unit)}: "
        "what is measured from now on is held against them.",
        notes=(f"A shift of {format_length(baseline.shift_found_mm, unit)} is found with 90 %.",),
    )


def _check(one: CheckPoint, chart: CheckChart, part: str, unit: str) -> str:
    baseline = chart.baseline
    return (
        f"{one.sweep.started}  {part}  d2 {one.distance:.1f} of {baseline.limit:.1f}  "
        f"{'out of control' if one.out else 'in control'}  (baseline {baseline.n} days, "
        f"s {format_length(baseline.s_mm, unit)})"
    )


def _words(one: CheckPoint, chart: CheckChart) -> str:
    said = "baseline" if one.in_baseline else "OUT" if one.out else "in"
    return f"{one.sweep.started}  d2 {one.distance:6.1f} of {chart.baseline.limit:.1f}  {said:<8}"


def _drawn(one: CheckPoint, chart: CheckChart) -> str:
    return _bar(one.distance / chart.baseline.limit)


def _bar(of_limit: float) -> str:
    filled = min(COLUMNS, round(AT_LIMIT * of_limit))
    cells = ["#"] * filled + [" "] * (COLUMNS - filled)
    cells[AT_LIMIT] = "|"
    return "".join(cells)


# --- what hangs on a gauge -------------------------------------------------------------------------------


def suspects_as_json(found: Sequence[Suspect]) -> dict[str, Any]:
    """Return the object of ``history --suspect``."""
    return to_json(
        {
            "suspect": [
                {
                    "recording_id": one.sweep.recording_id,
                    "measured": one.sweep.started,
                    "part": one.sweep.part,
                    "serial": one.sweep.serial,
                    "job": one.sweep.job,
                    "stage": one.sweep.stage,
                    "gauge": one.sweep.gauge,
                    "state": one.sweep.state,
                    "why": list(one.why),
                }
                for one in found
            ]
        }
    )


def suspects_as_text(found: Sequence[Suspect], looked_at: int, where: str) -> Report:
    """Return the text of ``history --suspect``."""
    if not found:
        return Report(
            f"None of {looked_at} recordings in {where} hangs on a gauge that is known to be past due, found "
            "worse or failed by its check."
        )
    return Report(
        f"{len(found)} of {looked_at} recordings in {where} hang on a gauge in doubt; nothing is judged by "
        "this",
        rows=tuple(_suspect(one) for one in found),
        notes=("A person decides what follows for each: measure again, tell the customer, or neither.",),
    )


def _suspect(one: Suspect) -> str:
    sweep = one.sweep
    name = " ".join(filter(None, (sweep.part or "(no part named)", sweep.serial)))
    state = STATE_WORDS[sweep.state] if sweep.state else "no decision"
    return (
        f"rec/{sweep.recording_id[:8]}  {sweep.started}  {name}  {sweep.stage}  {state}  {sweep.gauge}: "
        f"{'; '.join(one.why)}"
    )
