"""Results drawn by the real matplotlib: what is drawn is the result, and nothing else is touched."""

import io
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
import pytest
from made_histories import add_sweep, result_of
from made_sweeps import capture, made, wobble
from matplotlib.figure import Figure
from places import ROOT

import analysis
from analysis.errors import BadInput
from analysis.numerics import Limits, UncertainNumber
from analysis.store import open_store

RESULT = analysis.analyse(
    capture(made(wobble(0.142), noise_mm=0.0008, step_mm=0.001), 0.001, part="gear $x$")
)


def line(ax: Any, label: str) -> np.ndarray:
    (found,) = [one for one in ax.lines if str(one.get_label()).startswith(label)]
    return np.asarray(found.get_xydata())


def test_the_curve_that_is_drawn_is_that_of_the_result() -> None:
    ax = analysis.plot_sweep(RESULT)
    drawn = line(ax, "gear")
    np.testing.assert_array_equal(drawn[:, 0], RESULT.curve_deg)
    np.testing.assert_allclose(drawn[:, 1], RESULT.curve_mm - RESULT.curve_mm.mean(), atol=1e-15)
    high_point = line(ax, "high point")[0, 0]
    assert abs(high_point - RESULT.curve_deg[np.argmax(RESULT.curve_mm)]) <= 0.5
    assert (ax.get_xlabel(), ax.get_ylabel()) == ("angle from the mark, deg", "reading about its mean, mm")


def test_an_arc_over_the_mark_is_drawn_at_both_ends_of_the_turn() -> None:
    over = UncertainNumber(2.0, unit="deg", limits=Limits((-5.0, 9.0)))
    ax = analysis.plot_sweep(replace(RESULT, pooled=replace(RESULT.pooled, high_point=over)))
    spans = [(patch.get_x(), patch.get_x() + patch.get_width()) for patch in ax.patches]
    assert (-5.0, 9.0) in spans
    assert (355.0, 369.0) in spans
    assert ax.get_xlim() == (0.0, 360.0)


def test_a_round_plot_deviates_by_its_share_of_the_radius() -> None:
    ax = analysis.plot_round(RESULT)
    radii = line(ax, "gear")[:, 1]
    assert max(abs(radii - 1.0)) == pytest.approx(0.45)
    assert radii[0] == radii[-1]
    assert "of the radius" in ax.get_title()


def test_before_and_after_share_one_scale() -> None:
    ax = analysis.plot_compare(RESULT, replace(RESULT, curve_mm=RESULT.curve_mm / 2))
    before, after = line(ax, "before"), line(ax, "after")
    np.testing.assert_allclose(after[:, 1], before[:, 1] / 2, atol=1e-15)
    assert len({str(one.get_linestyle()) for one in ax.lines}) == 2


@pytest.mark.parametrize("kind", ["pandas", "polars"])
def test_a_trend_has_values_intervals_and_limits_in_time(tmp_path: Path, kind: str) -> None:
    with open_store(tmp_path / "kept.db") as store:
        add_sweep(store, "a", "2026-01-02T08:00:00Z", result_of(0.03))
        add_sweep(store, "b", "2026-02-02T08:00:00Z", result_of(0.04, limit_mm=None))
        add_sweep(store, "c", "2026-03-02T08:00:00.250+00:00", None)
        ax = analysis.plot_trend(store.frame("recordings", kind=kind))
    assert line(ax, "value")[:2, 1].tolist() == [0.03, 0.04]
    assert np.isnan(line(ax, "value")[2, 1])
    assert line(ax, "entered limit")[0, 1] == 0.05
    (bars,) = ax.collections
    np.testing.assert_allclose([bar[:, 1] for bar in bars.get_segments()], [[0.026, 0.034], [0.038, 0.042]])


@pytest.mark.parametrize("plot", [analysis.plot_sweep, analysis.plot_round], ids=["sweep", "round"])
def test_an_axes_handed_over_is_drawn_on_and_comes_back(plot: Any) -> None:
    ax = Figure().add_subplot(projection="polar" if plot is analysis.plot_round else None)
    assert plot(RESULT, ax) is ax
    assert ax.lines


def test_a_name_with_dollar_signs_is_text(tmp_path: Path) -> None:
    ax = analysis.plot_sweep(RESULT)
    drawn = io.BytesIO()
    with mpl.rc_context({"svg.fonttype": "none"}):
        ax.figure.savefig(drawn, format="svg")
    assert "gear $x$, TIR 0.14" in drawn.getvalue().decode()


def test_what_cannot_be_drawn_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(BadInput, match="projection='polar'"):
        analysis.plot_round(RESULT, Figure().add_subplot())
    with pytest.raises(BadInput, match="has no curve"):
        analysis.plot_sweep(replace(RESULT, curve_mm=np.empty(0)))
    with pytest.raises(BadInput, match="no column measured"):
        analysis.plot_trend({"value_mm": [1.0]})
    monkeypatch.setitem(sys.modules, "matplotlib.figure", None)
    with pytest.raises(BadInput, match=r"matplotlib is not installed: pip install 'fullturn\[plots\]'"):
        analysis.plot_sweep(RESULT)


USES = """
import sys
import numpy as np
import analysis, logger
angle = np.linspace(0.0, 20.0, 2000)
result = analysis.fit_sweep(angle, 0.05 * np.cos(angle), resolution_mm=0.001)
print(*(name for name in ("pandas", "polars", "pyarrow", "matplotlib", "scipy.stats") if name in sys.modules))

analysis.plot_sweep(result)
import matplotlib as mpl
print("matplotlib.pyplot" in sys.modules, mpl.rcParams == mpl.rcParamsDefault)
"""


def test_no_extra_is_loaded_before_it_is_asked_for_and_pyplot_never() -> None:
    ran = subprocess.run([sys.executable, "-c", USES], capture_output=True, text=True, check=True, cwd=ROOT)
    first, second = ran.stdout.splitlines()
    assert first == ""
    assert second.split()[0] == "False"
