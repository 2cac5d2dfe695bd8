"""What a delay that nothing tells is said to do, in one short sentence for a page."""

import pytest

from analysis.separation import LateGauge
from logger.reports.late_gauge import in_short


@pytest.mark.parametrize(
    ("late", "words"),
    [
        (LateGauge(), ""),
        (LateGauge(6.7, 0.15), "angles here may lie up to 6.7 deg before their place."),
        (LateGauge(-6.7, 0.15), "angles here may lie up to 6.7 deg past their place."),
        (LateGauge(0.0, 0.15), "speeds differ: every number here is wider for it."),
    ],
)
def test_it_says_which_way_and_how_far_angles_may_lie(late: LateGauge, words: str) -> None:
    assert in_short(late).endswith(words)
    assert bool(in_short(late)) == bool(late.latest_s)
