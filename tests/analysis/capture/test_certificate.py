"""The gauge's certificate: errors taken off, and when it is due."""

from datetime import date

import numpy as np
import pytest
from made_sweeps import capture, made, wobble

from analysis.capture.certificate import Certificate, certificate_of, corrected_by_certificate, overdue
from analysis.errors import BadInput
from analysis.setup import parse_setup

TABLE = "0:0 1:+0.001 2:-0.002 mm"


def certificate(text: str) -> Certificate | None:
    return certificate_of(parse_setup({"gauge_table": text}))


def test_no_table_is_no_certificate() -> None:
    assert certificate("  ") is None


@pytest.mark.parametrize(
    ("reading", "error"),
    [(0.0, 0.0), (1.0, 0.001), (2.0, -0.002), (0.5, 0.0005), (1.5, -0.0005), (-3.0, 0.0), (9.0, -0.002)],
)
def test_between_points_it_is_linear_and_beyond_them_the_ends_own(reading: float, error: float) -> None:
    table = certificate(TABLE)
    assert table is not None
    assert float(table.error_at(np.array([reading]))[0]) == pytest.approx(error, abs=1e-15)


def test_points_may_come_in_any_order() -> None:
    table = certificate("2:-0.002 0:0 1:+0.001 mm")
    assert table is not None
    assert table.reading_mm.tolist() == [0.0, 1.0, 2.0]
    assert table.error_mm.tolist() == [0.0, 0.001, -0.002]


@pytest.mark.parametrize("text", ["1:0 mm", "1:0 1:0.001 mm"])
def test_a_single_point_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="at least two different readings"):
        certificate(text)


def test_errors_are_shown_less_true_and_are_taken_off() -> None:
    given = capture(made(wobble(2.0, zero_mm=1.0)), 0.0, gauge_table="0:0 2:+0.2 mm")
    corrected = corrected_by_certificate(given).samples.reading_mm
    assert corrected == pytest.approx(0.9 * given.samples.reading_mm, abs=1e-12)


def test_without_a_table_readings_are_left_alone() -> None:
    given = capture(made(wobble(2.0)))
    assert corrected_by_certificate(given) is given


@pytest.mark.parametrize(
    ("due", "said"),
    [
        ("", ""),
        ("2026-03-31", ""),
        ("2026-04-01", ""),
        ("2026-03-30", "the gauge's certificate was due on 2026-03-30"),
    ],
)
def test_it_is_overdue_the_day_after(due: str, said: str) -> None:
    assert overdue(parse_setup({"gauge_due": due}), date(2026, 3, 31)) == said


@pytest.mark.parametrize("due", ["31.3.2026", "March", "2026-02-30", "20260331", "2026-W13-2"])
def test_what_is_no_date_is_refused(due: str) -> None:
    with pytest.raises(BadInput, match="is no date: write it like 2026-03-31"):
        parse_setup({"gauge_due": due})
