"""What programs are handed: quantities with their units, a gauge without a step, one line at a prompt."""

import re
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pint
import pytest
from made_sweeps import capture, made, wobble
from places import ROOT

import analysis
import logger
from analysis.errors import BadInput
from analysis.numerics import exact
from analysis.results import SweepResult
from analysis.setup import parse_setup

U = pint.UnitRegistry()
SWEEP = made(wobble(0.142), noise_mm=0.0008, step_mm=0.001)
PART = np.array([0.010 + 0.004j, 0.003j])
SPINDLE = np.array([0.004 - 0.002j, 0.001 + 0j])


def test_degrees_are_turned_to_radians_and_not_stripped() -> None:
    plain = analysis.fit_sweep(SWEEP.angle_rad, SWEEP.reading_mm, SWEEP.t_s, resolution_mm=0.001)
    given = analysis.fit_sweep(
        np.degrees(SWEEP.angle_rad) * U.degree,
        SWEEP.reading_mm * 1000 * U.micrometer,
        SWEEP.t_s * 1000 * U.millisecond,
        resolution_mm=1 * U.micrometer,
    )
    # A round trip costs the last bits, and with them a draw behind the TIR's bias: far below its u of 0.0001 mm.
    assert given.pooled.tir_fit.value == pytest.approx(plain.pooled.tir_fit.value, abs=1e-5)
    assert given.pooled.high_side.value == pytest.approx(plain.pooled.high_side.value, abs=1e-6)


@pytest.mark.parametrize(
    ("angle", "times", "words"),
    [
        (SWEEP.angle_rad * U.millimeter, None, "not an angle"),
        (SWEEP.angle_rad * U.dimensionless, None, "not an angle"),
        (SWEEP.angle_rad, SWEEP.t_s * U.millimeter, "not a time"),
    ],
)
def test_a_quantity_of_something_else_is_refused(angle: object, times: object, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        analysis.fit_sweep(angle, SWEEP.reading_mm, times)


def test_bare_arrays_without_a_step_say_so() -> None:
    said = analysis.fit_sweep(SWEEP.angle_rad, SWEEP.reading_mm).remarks
    remarks = analysis.fit_sweep(SWEEP.angle_rad, SWEEP.reading_mm, resolution_mm=0.001).remarks
    assert any("no step of the gauge" in remark for remark in said)
    assert not any("no step of the gauge" in remark for remark in remarks)


def read(deg: float, mark_on: str) -> SweepResult:
    """Return a sweep of PART at an index angle on SPINDLE, counted from one of the two marks."""
    n = np.arange(1, 3)
    on_arbor = PART * np.exp(1j * n * np.radians(deg)) + SPINDLE
    z = on_arbor * np.exp(-1j * n * np.radians(deg)) if mark_on == "part" else on_arbor
    result = analysis.analyse(capture(SWEEP, 0.001))
    return replace(result, setup=parse_setup({"mark_on": mark_on}), vectors=exact(z))


@pytest.mark.parametrize("marks", [("part", "part", "part"), ("arbor", "part", "arbor")])
def test_separate_heeds_from_whose_mark_a_sweep_counts(marks: tuple[str, ...]) -> None:
    degs = (0.0, 100.0, 230.0)
    found = analysis.separate([read(deg, mark) for deg, mark in zip(degs, marks, strict=True)], degs)
    # Noiseless vectors: least squares returns them to rounding.
    np.testing.assert_allclose(found.part.z_mm, PART, atol=1e-12)
    np.testing.assert_allclose(found.spindle.z_mm, SPINDLE, atol=1e-12)


def test_the_arbor_alone_has_no_part_s_mark() -> None:
    with pytest.raises(BadInput, match="mark_on = arbor"):
        analysis.separate([read(0.0, "part"), read(0.0, "part")], [0.0, None])


def test_a_prompt_prints_one_line() -> None:
    taken = capture(SWEEP, 0.001, limit="0.2 mm")
    result = analysis.analyse(taken)
    by_position = analysis.separate([exact(PART + SPINDLE), exact(SPINDLE)], [0.0, None])
    decided = analysis.decide(result, "0.2 mm")
    change = analysis.compare(result, result)
    left = analysis.predict_cut(exact(PART + SPINDLE), exact(SPINDLE))
    best = analysis.hole_positions(exact(PART + SPINDLE), exact(SPINDLE), 6)
    of_sweep = (result, result.vectors, result.pooled, result.pooled.tir_fit, result.turns[0], decided)
    for value in (taken, taken.samples, *of_sweep, by_position, change, left, best):
        assert "\n" not in repr(value)
        assert len(repr(value)) < 200
    assert "TIR 0.14" in repr(result)
    assert "within" in repr(result)


def test_names_are_seen_before_they_are_loaded() -> None:
    code = "import analysis, logger; print(*dir(analysis), *dir(logger)); from logger import read_recording"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert {"fit_sweep", "separate", "analyse", "read_recording", "load_sweep"} <= set(ran.stdout.split())


def test_a_recording_is_read_in_one_call() -> None:
    (file,) = (ROOT / "recordings" / "wind-pump-as-left").glob("*.mcap")
    taken = logger.read_recording(file, {"limit": "0.05 mm"})
    assert analysis.analyse(taken).decision is not None


def test_a_recording_is_fitted_as_it_is_read() -> None:
    (file,) = (ROOT / "recordings" / "wind-pump-as-left").glob("*.mcap")
    taken = logger.read_recording(file)
    assert "\n" not in repr(taken)
    assert len(repr(taken)) < 200
    fitted, analysed = analysis.fit_sweep(taken), analysis.analyse(taken)
    assert fitted.pooled.tir_fit.value == analysed.pooled.tir_fit.value
    assert fitted.remarks == analysed.remarks
    other = analysis.fit_sweep(taken, limit="0.02 mm", orders=4, setup={"part": "mine"})
    assert other.decision is not None
    assert (other.decision.state, len(other.pooled.orders), other.setup.part) == ("over", 4, "mine")


def test_a_capture_is_handed_over_alone_and_angles_never_are() -> None:
    taken = capture(SWEEP, 0.001)
    with pytest.raises(BadInput, match="a capture brings its own readings"):
        analysis.fit_sweep(taken, SWEEP.reading_mm)
    with pytest.raises(BadInput, match="angles without readings"):
        analysis.fit_sweep(SWEEP.angle_rad)


def test_readmes_python_prints_what_it_says(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (code,) = re.findall(
        r"^```python\n(.*?)^```$", (ROOT / "README.md").read_text("utf-8"), re.DOTALL | re.MULTILINE
    )
    monkeypatch.chdir(ROOT)
    exec(compile(code, "README.md", "exec"), {})
    printed = capsys.readouterr().out.splitlines()
    said = re.findall(r"^print\(.*\)(?:  # (.*))?$", code, re.MULTILINE)
    assert len(printed) == len(said) == 3
    assert all(line.startswith(begins) for line, begins in zip(printed, said, strict=True))
