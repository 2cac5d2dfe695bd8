"""Two stored turns on the screen: compared by the rules of ``compare``, rescaled where that can be done."""

import math
from collections.abc import Mapping

import numpy as np
import pytest

from analysis.store.rows import StoredTurn
from logger.live.drawing.display_options import DisplayOptions
from logger.live.drawing.rows import plain
from logger.live.pages.compare import comparison
from logger.live.tools.turn_comparison import compare

FACE = {"part": "flange", "surface": "face", "stage": "as found", "track_radius": "110 mm"}


def stored(
    tir_first_mm: float,
    high_deg: float,
    setup: Mapping[str, str],
    second: complex = 0.0,
    orders: int = 3,
    mark: str | None = None,
) -> StoredTurn:
    z = np.zeros(orders, complex)
    z[0] = 0.5 * tir_first_mm * np.exp(1j * math.radians(high_deg))
    z[1] = second
    return StoredTurn(
        id=1, turn=0, direction=1, recorded="2026-03-02T10:00:00Z", part=setup.get("part", ""),
        stage=setup.get("stage", "other"), rpm=8.0, tir_raw_mm=tir_first_mm, tir_fit_mm=tir_first_mm,
        high_point_deg=high_deg, cos_mm=tuple(z.real.tolist()), sin_mm=tuple(z.imag.tolist()), setup=setup,
        recording_id="r", starred=False, left_out=None, mark=mark,
    )  # fmt: skip


def text_of(compared: object, view: object) -> str:
    rows = comparison(view, DisplayOptions(), compared, 80, 23)  # type: ignore[arg-type]
    return "\n".join(plain(row) for row in rows)


@pytest.fixture(scope="module")
def view(tmp_path_factory: pytest.TempPathFactory) -> object:
    from screens import practice_seat

    seat = practice_seat(tmp_path_factory.mktemp("view"))
    seat.go(0.5)
    found = seat.console.view()
    seat.close()
    return found


def test_equal_tirs_at_other_places_are_a_change_and_its_size_is_the_vectors() -> None:
    # 0.124770 at 73.869 against 0.124814 at 226.049: the difference of the vectors by hand, mm of TIR.
    before, after = stored(0.124770, 73.869, FACE), stored(0.124814, 226.049, FACE)
    compared = compare(before, after)
    assert compared is not None
    expected = abs(
        0.124814 * np.exp(1j * math.radians(226.049)) - 0.124770 * np.exp(1j * math.radians(73.869))
    )
    assert compared.change_first_mm == pytest.approx(expected, rel=1e-12)  # rounding
    assert compared.comparable


def test_a_face_at_another_radius_is_rescaled_and_said(view: object) -> None:
    other = {**FACE, "track_radius": "55 mm"}
    compared = compare(stored(0.100, 30.0, FACE), stored(0.050, 30.0, other, second=0.01))
    assert compared is not None
    assert compared.comparable
    # A plane tilted alike reads half as much at half the radius: nothing has changed.
    assert compared.change_first_mm == pytest.approx(0.0, abs=1e-12)
    assert np.ptp(compared.after_mm) == pytest.approx(0.100, rel=1e-4)  # on 720 places
    text = " ".join(text_of(compared, view).split())
    assert "rescaled: track radius 110 mm / 55 mm" in text
    assert "after x 2.000 to the radius before, once round alone, as a plane" in text


def test_a_sweep_seen_from_the_other_end_is_mirrored_and_said(view: object) -> None:
    compared = compare(stored(0.1, 40.0, FACE), stored(0.1, 320.0, {**FACE, "declared_end": "far"}))
    assert compared is not None
    assert compared.change_first_mm == pytest.approx(0.0, abs=1e-12)
    assert "mirrored, to be seen from the end of before" in " ".join(text_of(compared, view).split())


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"part": "another"}, "part"),
        ({"surface": "bore"}, "surface"),
        ({"stage": "on the lathe"}, "axis"),
        ({"preload": "0.05 shim"}, "preload"),
        ({"limit": "0.02 mm", "limit_quantity": "tir_first"}, "quantity"),
        ({"mark_on": "arbor"}, "index angle"),
    ],
)
def test_what_is_another_measurement_is_refused_with_its_field(
    change: dict[str, str], field: str, view: object
) -> None:
    compared = compare(stored(0.1, 40.0, FACE), stored(0.2, 40.0, {**FACE, **change}))
    assert compared is not None
    assert not compared.comparable
    assert compared.change_mm is None
    text = " ".join(text_of(compared, view).split())
    assert "NOT COMPARABLE" in text
    assert field in text
    assert "changed by" not in text
    assert "no difference is drawn" in text


def test_what_only_may_matter_is_noted_and_compared(view: object) -> None:
    compared = compare(stored(0.1, 40.0, FACE), stored(0.2, 40.0, {**FACE, "operator": "B"}))
    assert compared is not None
    text = " ".join(text_of(compared, view).split())
    assert "changed by 0.100 mm once round, high at 40 deg on the part" in text
    assert "noted: operator - / B" in text


def test_angles_on_the_arbor_are_brought_to_the_part() -> None:
    arbor = {**FACE, "mark_on": "arbor", "index_angle": "180"}
    compared = compare(stored(0.1, 46.0, FACE), stored(0.1, 226.0, arbor))
    assert compared is not None
    assert compared.change_first_mm == pytest.approx(0.0, abs=1e-12)


def test_a_turn_without_a_curve_is_not_compared() -> None:
    bare = stored(0.1, 0.0, FACE)
    empty = StoredTurn(**{**{f: getattr(bare, f) for f in bare.__slots__}, "cos_mm": (), "sin_mm": ()})
    assert compare(bare, empty) is None


MARKS = "1/a part count 7", "1/a part count 900"


@pytest.mark.parametrize(
    ("job", "marks", "comparable"),
    [
        ({}, MARKS, False),
        ({}, (MARKS[0], MARKS[0]), True),
        ({}, (MARKS[0], None), True),  # stored before marks were kept
        ({"job": "7"}, MARKS, True),  # a job asks for the part's one mark at every step
    ],
)
def test_turns_of_different_marks_are_not_comparable_unless_a_job_names_the_mark(
    view: object, job: dict[str, str], marks: tuple[str, str | None], comparable: bool
) -> None:
    before, after = (stored(0.1, 30.0, {**FACE, **job}, mark=mark) for mark in marks)
    compared = compare(before, after)
    assert compared is not None
    assert compared.comparable == comparable
    text = text_of(compared, view)
    assert ("NOT COMPARABLE: the mark was touched anew" in text) == (not comparable)
    assert ("changed by" in text) == comparable
