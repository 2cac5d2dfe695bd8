"""What options and further files add to ``fullturn sweep``: form, sag, a second tip, sweeps together."""

from collections.abc import Callable, Sequence
from typing import Any

import click

from analysis.errors import BadInput
from analysis.setup import Surface


def extra_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of this module."""
    for option in (
        click.option("--plane", "planes", multiple=True, metavar="LENGTH",
                     help="Predict order 1 at this plane, from two files at two planes (track_plane)."),
        click.option("--tips-apart", metavar="DEG",
                     help="With --opposed: the second tip reads so much further on (default 180)."),
        click.option("--opposed", type=click.IntRange(0, 15), metavar="CHANNEL",
                     help="Second tip on the same face: the shaft's axial walk is taken off."),
        click.option("--sag", "sag_file", metavar="FILE",
                     help="Sweep of the sag of an indicator carried round."),
        click.option("--filter", "filter_upr", type=click.Choice(["15", "50", "150", "500"]),
                     help="Cut-off of the Gaussian filter before --form, UPR."),
        click.option("--form", "with_form", is_flag=True,
                     help="Add circles, flatness and total runout over all files."),
    ):  # fmt: skip
        function = option(function)
    return function


def check_extras(
    files: Sequence[str],
    with_form: bool,
    filter_upr: str | None,
    sag_file: str | None,
    opposed: int | None,
    tips_apart: str | None,
) -> None:
    """Refuse options that do not go together, before anything is read."""
    if filter_upr is not None and not with_form:
        raise BadInput("--filter goes with --form: add --form, or leave it out")
    if tips_apart is not None and opposed is None:
        raise BadInput("--tips-apart goes with --opposed CHANNEL: name the channel of the second tip")
    if opposed is not None and not files:
        raise BadInput("--opposed needs a recording with two channels: name it")
    if opposed is not None and sag_file is not None:
        raise BadInput("--opposed and --sag at once: a carried indicator is one tip; leave one of them out")


def sag_of(file: str, override: dict[str, str], seed: int) -> Any:
    """Return the orders of the sag's own sweep."""
    from logger.inputs import analysed_sweep  # noqa: PLC0415

    kept = {key: value for key, value in override.items() if not key.startswith("limit")}
    return analysed_sweep(file, kept, seed=seed).vectors


def apart_of(text: str | None) -> float:
    """Return by how much the second tip reads further on, degrees."""
    from analysis.units import parse_number  # noqa: PLC0415

    return 180.0 if text is None else parse_number(text.removesuffix("deg"), "--tips-apart")


def with_second_tip(
    loaded: Any, opposed: Any, options: Any, apart_deg: float, unit: str
) -> tuple[Any, dict[str, Any], str]:
    """Return the result with the walk off, and the object and the text that the second tip adds."""
    from analysis.separation import analyse_two_tips  # noqa: PLC0415
    from logger.reports import two_tips  # noqa: PLC0415
    from logger.reports.phrases import layout  # noqa: PLC0415

    if loaded.capture.setup.surface != Surface.FACE:
        raise BadInput("--opposed is for two tips on one face: on an outside or bore they see no axial walk")
    told = analyse_two_tips(loaded.capture, opposed.capture, options, apart_deg=apart_deg)
    return told.result, two_tips.as_json(told), layout(two_tips.as_text(told, unit))


def add_form(
    results: Sequence[Any],
    objects: list[dict[str, Any]],
    texts: list[str],
    filter_upr: float | None,
    unit: str,
) -> None:
    """Add form to each object and text; all files are tracks of one set-up."""
    from analysis.measurands import forms  # noqa: PLC0415
    from logger.reports import form  # noqa: PLC0415
    from logger.reports.phrases import layout  # noqa: PLC0415

    for k, found in enumerate(forms(results, filter_upr)):
        objects[k]["form"] = form.as_json(found)
        texts[k] += "\n\n" + layout(form.as_text(found, len(results), unit))


def add_together(
    loaded: Sequence[Any], results: Sequence[Any], planes: Sequence[str], unit: str
) -> tuple[dict[str, Any], list[str]]:
    """Return what several files say together: keys beside ``files``, and paragraphs."""
    from analysis.units import parse_length  # noqa: PLC0415
    from logger.inputs import AnalysedSweep, index_of  # noqa: PLC0415
    from logger.reports import related_sweeps, shaft_axis  # noqa: PLC0415
    from logger.reports.phrases import layout  # noqa: PLC0415
    from logger.studies import at_planes, axis_of, relate  # noqa: PLC0415

    sweeps = [
        AnalysedSweep(one.origin.file, one.capture, result, index_of(one.capture, one.origin.file, None))
        for one, result in zip(loaded, results, strict=True)
    ]
    related = relate(sweeps)
    keys: dict[str, Any] = {"together": related_sweeps.as_json(related), "axis": None}
    paragraphs = []
    if planes:
        wanted = [parse_length(text, "--plane").mm for text in planes]
        axis = axis_of(sweeps)
        at = at_planes(axis, wanted, max(one.result.other_u_mm for one in sweeps))
        keys["axis"] = shaft_axis.as_json(axis, at)
        paragraphs.append(layout(shaft_axis.as_text(axis, at, unit)))
    paragraphs.append(layout(related_sweeps.as_text(related, unit)))
    return keys, [each for each in paragraphs if each]
