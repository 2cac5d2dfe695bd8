"""The text of a cut study: the advice in one sentence, what to do, the card, the mountings."""

from dataclasses import replace

import pytest
from example_results import lathe, mountings, own

from analysis.separation import LateGauge
from logger.inputs.origin import SweepOrigin
from logger.reports import cut, sweep
from logger.reports.phrases import layout
from logger.studies import MountingsStudy


def lines(study: MountingsStudy) -> list[str]:
    return layout(cut.as_text(study, "mm")).splitlines()


def test_the_answer_is_the_advice_against_the_limit_as_written() -> None:
    answer = lines(mountings())[0]
    assert "would leave 0.030 mm (1.2 thou) TIR in the part's own bearings" in answer
    assert answer.endswith("against the entered limit 0.05 mm (1.97 thou): mounting good enough.")


def test_a_mounting_that_is_not_good_enough_says_what_to_do_after_the_checks() -> None:
    said = lines(mountings(again=True))
    assert said[0].endswith(": mount it again.")
    assert "Do this: take it off, clean cone, seat and bore" in said[2]


def test_an_undecided_mounting_says_why_and_what_would_decide_it() -> None:
    study = mountings()
    now = replace(study.now, advice="undecided", decision=replace(study.now.decision, why="too near"))
    said = lines(replace(study, mountings=(now,)))
    assert said[2] == "Not decided because: too near."
    assert said[3].startswith("Do this: sweep both again with more turns")


def test_the_card_has_first_touch_and_every_pass() -> None:
    section = cut.card_section(mountings().card, "mm", by_radius=False)
    assert section.title.startswith("Cut card. Least stock to clean up: 0.1")
    assert [row.split(":")[0] for row in section.rows[1:3]] == ["Pass 1", "Pass 2"]
    assert section.rows[0].startswith("First touch at ")


def test_a_card_with_a_stop_gives_no_depth() -> None:
    rows = cut.card_section(mountings(again=True).card, "mm", by_radius=False).rows
    assert rows[0].startswith("STOP: mount it again: ")
    assert rows[-1] == "No depth is given."
    assert not any("Metal to take" in line for line in lines(mountings(again=True)))


def test_a_cut_on_an_outside_or_bore_says_radius_and_diameter() -> None:
    card = mountings().card
    face, round_ = (cut.card_section(card, "mm", by_radius=one) for one in (False, True))
    once, twice = f"{card.least_stock_mm:.4f} mm", f"{2 * card.least_stock_mm:.4f} mm"
    assert face.title.endswith(f"clean up: {once}.")
    assert round_.title.endswith(f"clean up: {once} on the radius ({twice} on the diameter).")
    passes = [row for row in round_.rows if row.startswith("Pass ")]
    assert all("on the radius (" in row and "on the diameter)" in row for row in passes)


def test_metal_to_take_stands_at_twelve_places_four_a_row() -> None:
    said = lines(mountings())
    first = said.index("  Metal to take, by degrees past the part's mark:") + 1
    places = [cell.split(":")[0] for row in said[first : first + 3] for cell in row.split(" mm")[:-1]]
    assert [int(place) for place in places] == list(range(0, 360, 30))


def test_of_several_mountings_the_best_and_the_scatter_are_told() -> None:
    said = lines(mountings())
    assert "  Best of them: lathe-0.mcap." in said
    assert any(line.startswith("  Scatter of the mountings: ") for line in said)


def test_of_one_mounting_there_is_no_best() -> None:
    study = mountings()
    alone = replace(study, mountings=(study.now,), scatter_mm=None)
    assert not any("Best of them" in line or "Scatter of" in line for line in lines(alone))


PASSES = {
    "nothing cut": (360.0, "no place has changed, nothing is cut yet"),
    "cut all round": (0.0, "cut all round"),
    "half of it": (180.0, "about 180 deg of the turn is not touched yet; 0.0400 mm more has to go"),
}


@pytest.mark.parametrize(("uncut_deg", "words"), PASSES.values(), ids=PASSES)
def test_a_sweep_between_passes_says_what_is_left(uncut_deg: float, words: str) -> None:
    study = mountings()
    assert study.between is not None
    check = replace(study.between, sweep=lathe(), uncut_deg=uncut_deg, left_mm=0.040)
    said = lines(replace(study, between=check))
    # It stands in the card, above what it changes there.
    card = next(k for k, line in enumerate(said) if line.startswith("Cut card."))
    assert said[card + 1] == f"  Between passes (lathe-0.mcap): {words}."


def test_the_caution_is_the_last_word() -> None:
    assert lines(mountings())[-1] == cut.CUT_CAUTION


def test_the_decision_has_the_keys_of_a_sweeps() -> None:
    of_sweep = sweep.as_json(own().result, SweepOrigin("own.mcap", None, True), None)
    one = cut.as_json(mountings())["mountings"][-1]
    assert list(one["decision"]) == list(of_sweep["decision"])
    assert list(one["budget"][0]) == list(of_sweep["budget"][0])
    assert {"sweeps", "gauge's own error", "hysteresis"} <= {line["source"] for line in one["budget"]}


def test_what_is_printed_beside_the_limit_is_what_is_held_against_it() -> None:
    study = mountings()
    held, said = study.now.decision.number.interval(), lines(study)
    ends = f"{held[0]:.4f} mm to {held[1]:.4f} mm"
    assert f"(95 %: {ends})" in said[0]
    assert any(line.startswith(f"Against the limit, with every line of the budget: {ends}") for line in said)
    assert any(line.startswith("Note: gauge taken as +-0.0") for line in said)


def test_a_delay_that_nothing_tells_is_said_once_and_in_json_alike() -> None:
    study = mountings()
    late = LateGauge(common_deg=18.0, latest_s=0.15)
    now = replace(study.now, late=late)
    study = replace(study, mountings=(now,))
    said = [line for line in lines(study) if "nothing tells how late the gauge is" in line]
    assert len(said) == 1
    assert "up to 18.0 deg before its place" in said[0]
    found = cut.as_json(study)["mountings"][0]["late_gauge"]
    assert (found["common_deg"], found["latest_s"]) == (18.0, 0.15)
    assert said[0] == f"Note: {found['text']}."
