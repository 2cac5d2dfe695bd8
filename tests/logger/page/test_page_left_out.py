"""What a person left out stands on the page with its reason, and the result with it and without it."""

from pathlib import Path

import pytest
from pages_made import ISSUE, LEFT, sweep, text_of_html
from promises.inside import copy_recording

from analysis.units import format_length
from logger.page import MeasuredPart, Style, made_page, measured_part
from logger.page.arithmetic import chapters
from logger.page.paragraphs import paragraphs

LIMIT = {"limit": "0.031 mm"}


def left_out_of(folder: Path, events: list[dict[str, object]]) -> tuple[MeasuredPart, str]:
    copy = folder / "left-out.mcap"
    copy_recording(LEFT, copy, events)
    part = measured_part(sweep(copy, **LIMIT))
    (found,) = [one.text for one in paragraphs(part, None, "mm") if one.heading == "Left out"]
    return part, found


def test_a_turn_and_a_window_are_named_with_both_results(tmp_path: Path) -> None:
    whole = sweep(LEFT, **LIMIT).result
    third = whole.turns[2]
    part, text = left_out_of(
        tmp_path,
        [
            {
                "event": "left-out",
                "id": 1,
                "turn": 2,
                "from_s": third.start_s,
                "to_s": third.end_s,
                "reason": "bumped",
            },
            {"event": "left-out", "id": 2, "from_deg": 100.0, "to_deg": 110.0, "reason": "keyway"},
        ],
    )
    without = part.after.result
    assert len(without.turns) == len(whole.turns) - 1
    assert without.answer_tir_mm != whole.answer_tir_mm
    assert whole.decision is not None
    assert without.decision is not None
    assert text == (
        "as left turn 3 (bumped); as left 100 to 110 deg (keyway); as left TIR with all of it "
        f"{format_length(whole.answer_tir_mm)} ({whole.decision.state.words}), without what a person left out "
        f"{format_length(without.answer_tir_mm)} ({without.decision.state.words})"
    )
    text = text_of_html(made_page(part, ISSUE, Style(), ".html").data.decode())
    assert f"with all of it {format_length(whole.answer_tir_mm)}" in text


def test_a_laboratory_record_unfolds_both_results(tmp_path: Path) -> None:
    whole = sweep(LEFT, **LIMIT).result
    part, _ = left_out_of(
        tmp_path, [{"event": "left-out", "id": 1, "from_deg": 100.0, "to_deg": 110.0, "reason": "keyway"}]
    )
    named = {one.heading: one for one in chapters(part, "mm")}
    assert "As left: residuals turn over turn" in named
    table = named["As left: with and without what a person left out"].table
    assert table is not None
    rows = {row[0]: row[1:] for row in table.rows}
    with_mm, without_mm, difference = (float(each) for each in rows["TIR, fitted curve, mm"])
    assert with_mm == pytest.approx(whole.pooled.tir_fit.value, abs=1e-6)
    assert without_mm == pytest.approx(part.after.result.pooled.tir_fit.value, abs=1e-6)
    assert difference == pytest.approx(without_mm - with_mm, abs=2e-6)
    assert difference != 0.0
    assert rows["turns"] == ("5", "5", "+0")
    untouched = [one.heading for one in chapters(measured_part(sweep(LEFT)), "mm")]
    assert not [heading for heading in untouched if "with and without" in heading]


def test_what_was_taken_back_was_never_left_out(tmp_path: Path) -> None:
    events: list[dict[str, object]] = [
        {"event": "left-out", "id": 1, "from_deg": 100.0, "to_deg": 110.0, "reason": "keyway"},
        {"event": "left-out-undone", "id": 1},
    ]
    part, text = left_out_of(tmp_path, events)
    assert text == "nothing"
    assert part.after.with_all_counted_in is None


def test_of_an_untouched_sweep_nothing_is_analysed_twice() -> None:
    assert sweep(LEFT).with_all_counted_in is None
