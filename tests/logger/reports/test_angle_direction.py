"""Which way angles count: reckoned from the declared end, never from sense or the way the part was turned."""

import math

import numpy as np
import pytest
from places import ROOT
from running import inside

from analysis import fit_sweep
from analysis.setup import parse_setup
from logger.reports.angle_direction import angle_direction

AGAINST = "Angles and holes count against the clock from the mark, seen from the indicator."
WITH = "Angles and holes count with the clock from the mark, seen from the indicator."


@pytest.mark.parametrize("sense", ["+1", "-1"])
@pytest.mark.parametrize("turning", ["part", "indicator"])
@pytest.mark.parametrize(("end", "said"), [("gauge", AGAINST), ("far", WITH)])
def test_the_declared_end_alone_tells_it(sense: str, turning: str, end: str, said: str) -> None:
    setup = parse_setup({"sense": sense, "turning": turning, "declared_end": end})
    assert angle_direction(setup) == said


@pytest.mark.parametrize("direction", [1, -1])
@pytest.mark.parametrize("sense", [1, -1])
def test_a_dent_stands_where_the_sentence_says_whichever_way_it_is_turned(direction: int, sense: int) -> None:
    """Own derivation: a part seen from the indicator, its dent 90 deg against the clock from the mark."""
    # Counter-clockwise positive: the part stands at -turned while it is turned clockwise, the tip at 0.
    clockwise = direction * np.linspace(0.0, 4.0 * math.pi, 2001)
    dent_on_part = math.pi / 2.0
    under_tip = clockwise  # the place of the part under the tip, against the clock from its mark
    reading = -0.05 * np.cos(under_tip - dent_on_part)
    counts = sense * clockwise  # as the encoder is built on
    angle = sense * counts  # what sense makes of them
    result = fit_sweep(angle, reading)
    assert result.pooled.low_point_deg == pytest.approx(90.0, abs=0.5)  # half a step of the sweep, rounded up


def test_help_and_readme_have_the_very_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    help_text = " ".join(inside(capsys, "--help").out.split())
    assert AGAINST in help_text
    assert AGAINST in " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
