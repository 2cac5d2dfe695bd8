"""What several sweeps of one command line say beside each by itself: form over tracks, and relations."""

from collections.abc import Sequence
from typing import Any

from analysis import measurands
from analysis.results import SweepResult
from analysis.units import parse_length
from logger import inputs, reports, studies
from logger.commands.run.reported_sweep import ReportedSweep
from logger.reports.phrases import layout


def with_form_of_tracks(
    sweeps: Sequence[ReportedSweep], filter_upr: float | None, unit: str
) -> list[ReportedSweep]:
    """Return the sweeps, each with its form; all of them are tracks of one set-up. Raises BadInput."""
    forms = measurands.forms([sweep.result for sweep in sweeps], filter_upr)
    return [
        sweep.with_part(
            "form", reports.form.as_json(found), layout(reports.form.as_text(found, len(sweeps), unit))
        )
        for sweep, found in zip(sweeps, forms, strict=True)
    ]


def relations(
    loaded: Sequence[inputs.LoadedSweep], results: Sequence[SweepResult], planes: Sequence[str], unit: str
) -> tuple[dict[str, Any], list[str]]:
    """Return what several files say together: keys beside ``files``, and paragraphs. Raises BadInput."""
    sweeps = [
        inputs.AnalysedSweep(
            one.origin.file,
            one.capture,
            result,
            inputs.index_of(one.capture, one.origin.file, None),
            one.origin,
        )
        for one, result in zip(loaded, results, strict=True)
    ]
    related = studies.relate(sweeps)
    keys: dict[str, Any] = {"together": reports.related_sweeps.as_json(related), "axis": None}
    paragraphs = []
    if planes:
        places_mm = [parse_length(text, "--plane").mm for text in planes]
        axis = studies.axis_of(sweeps)
        at = studies.at_planes(axis, places_mm, max(one.result.other_u_mm for one in sweeps))
        keys["axis"] = reports.shaft_axis.as_json(axis, at)
        paragraphs.append(layout(reports.shaft_axis.as_text(axis, at, unit)))
    paragraphs.append(layout(reports.related_sweeps.as_text(related, unit)))
    return keys, [each for each in paragraphs if each]
