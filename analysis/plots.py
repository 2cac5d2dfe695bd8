"""Results drawn with matplotlib: each function takes and returns an Axes, and changes nothing else.

Without an Axes a new figure is made, outside pyplot: ``ax.figure.savefig(...)`` keeps it, notebooks show
``ax.figure``. Nothing is told by colour alone.
"""

from typing import Any

import numpy as np

from analysis.errors import BadInput
from analysis.results import SweepResult

DEEPEST = 0.45
"""The largest deviation is drawn as this share of the circle's radius."""


def plot_sweep(result: SweepResult, ax: Any = None) -> Any:
    """Draw the curve of one turn over its angle from the mark, and where its high point lies (95 %)."""
    ax = _axes(ax)
    heights = _about_mean(result)
    ax.plot(result.curve_deg, heights, "-", color="black", label=_name(result))
    low, high = result.pooled.high_point.interval()
    at = result.pooled.high_point.value
    if high - low < 360.0:
        # An arc over the mark shows at both ends of the turn.
        for turn_deg, label in ((0.0, "high point, 95 %"), (-360.0, None), (360.0, None)):
            ax.axvspan(low + turn_deg, high + turn_deg, color="0.85", zorder=0, label=label)
    ax.axvline(at % 360.0, linestyle=":", color="black", label=f"high point {at % 360.0:.0f} deg")
    _turn_axes(ax)
    ax.legend(loc="best", fontsize="small")
    return ax


def plot_round(result: SweepResult, ax: Any = None) -> Any:
    """Draw the turn as a circle, deviations enlarged until the largest is 0.45 of the radius.

    0 deg is at the top, angles count against the clock; ``ax`` has to be polar. Raises BadInput for another.
    """
    ax = _axes(ax, projection="polar")
    if ax.name != "polar":
        raise BadInput("plot_round draws on polar axes: make them with projection='polar', or give none")
    heights = _about_mean(result)
    largest = float(np.max(np.abs(heights))) or 1.0
    angles = np.radians(np.append(result.curve_deg, result.curve_deg[:1]))
    ax.plot(angles, np.ones_like(angles), "--", color="0.6", label="mean circle")
    ax.plot(
        angles,
        1.0 + DEEPEST * np.append(heights, heights[:1]) / largest,
        "-",
        color="black",
        label=_name(result),
    )
    ax.set_theta_zero_location("N")
    ax.set_yticks([])
    ax.set_title(f"deviation enlarged: {largest:.4f} mm is {DEEPEST:g} of the radius", fontsize="small")
    ax.legend(loc="lower left", fontsize="small")
    return ax


def plot_compare(before: SweepResult, after: SweepResult, ax: Any = None) -> Any:
    """Draw two sweeps on one scale, before dashed and after drawn through, each from its own mark."""
    ax = _axes(ax)
    for result, style, when in ((before, "--", "before"), (after, "-", "after")):
        ax.plot(
            result.curve_deg,
            _about_mean(result),
            style,
            color="black",
            label=f"{when}: {_name(result)}",
        )
    _turn_axes(ax)
    ax.legend(loc="best", fontsize="small")
    return ax


def plot_trend(recordings: Any, ax: Any = None) -> Any:
    """Draw values in time with their 95 % intervals and limits.

    Parameters: ``recordings`` columns ``measured``, ``value_mm``, ``low_mm``, ``high_mm`` and ``limit_mm`` by
    name, as ``Store.frame("recordings")`` gives them; a number that is not known is NaN.
    """
    ax = _axes(ax)
    measured = np.array(
        [str(one)[:19].rstrip("Z") for one in _column(recordings, "measured")], "datetime64[s]"
    )
    value, low, high, limit = (
        np.array([np.nan if one is None else one for one in _column(recordings, name)], np.float64)
        for name in ("value_mm", "low_mm", "high_mm", "limit_mm")
    )
    known = np.isfinite(low) & np.isfinite(high)
    ax.vlines(measured[known], low[known], high[known], color="0.5", label="95 %")
    ax.plot(measured, value, "o-", color="black", label="value")
    if np.isfinite(limit).any():
        ax.plot(measured, limit, "--", color="black", drawstyle="steps-post", label="entered limit")
    ax.set_ylabel("mm")
    ax.tick_params(axis="x", labelrotation=30)
    ax.legend(loc="best", fontsize="small")
    return ax


def _axes(ax: Any, projection: str | None = None) -> Any:
    if ax is not None:
        return ax
    try:
        from matplotlib.figure import Figure
    except ImportError as error:
        raise BadInput("matplotlib is not installed: pip install 'fullturn[plots]'") from error
    return Figure(layout="constrained").add_subplot(projection=projection)


def _about_mean(result: SweepResult) -> Any:
    if not len(result.curve_mm):
        raise BadInput("this result has no curve: few places carry none; draw the readings themselves")
    return result.curve_mm - np.mean(result.curve_mm)


def _column(recordings: Any, name: str) -> Any:
    try:
        return recordings[name]
    except (KeyError, TypeError, LookupError) as error:
        raise BadInput(
            f"no column {name}: hand over a frame of recordings, as Store.frame('recordings')"
        ) from error


def _turn_axes(ax: Any) -> None:
    ax.set_xlim(0.0, 360.0)
    ax.set_xticks(np.arange(0.0, 361.0, 45.0))
    ax.set_xlabel("angle from the mark, deg")
    ax.set_ylabel("reading about its mean, mm")


def _name(result: SweepResult) -> str:
    """Return part and TIR; a dollar sign is no formula."""
    part = result.setup.part or result.setup.surface
    return f"{part}, TIR {result.answer_tir_mm:.4f} mm".replace("$", r"\$")
