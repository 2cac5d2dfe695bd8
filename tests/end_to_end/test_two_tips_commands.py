"""What commands tell from two tips, and of an indicator that is carried round: every figure inside its interval.

Truths are the scenarios' own parameters. All through the command line, fixed seeds.
"""

from pathlib import Path

import pytest
from practice_commands import DISC, TWO_TIPS, inside, json_of, ran
from truth_in_interval import off_deg

from logger.practice.bench.orders import extremes
from logger.practice.stories import moved_tips

# A second, opposed tip on the face.


def test_one_tip_takes_the_shafts_walk_for_the_face_and_two_do_not() -> None:
    alone, both = (json_of("sweep", TWO_TIPS, *more) for more in ((), ("--opposed", "1")))
    assert (alone[0], alone[1]["decision"]["state"]) == (1, "over")
    assert (both[0], both[1]["decision"]["state"]) == (0, "within")


def test_the_face_under_two_tips_lies_in_its_interval() -> None:
    _, found = json_of("sweep", TWO_TIPS, "--opposed", "1")
    true = extremes(moved_tips.TABLE)
    assert inside(true.tir_mm, found["pooled"]["tir_fit_95_mm"])
    assert inside(0.080, found["opposed"]["face_first_95_mm"])
    assert abs(off_deg(found["opposed"]["face_high_side_deg"], 40.0)) < 0.3


def test_the_walk_is_told_and_what_may_be_either() -> None:
    opposed = json_of("sweep", TWO_TIPS, "--opposed", "1")[1]["opposed"]
    # 0.004 mm that does not repeat leaks some 0.001 mm into order 1 over four turns.
    assert opposed["walk_first_mm"] == pytest.approx(0.050, abs=0.0015)
    assert opposed["not_separable"] == [2, 4, 6, 8, 10, 12, 14]


def test_a_nick_stays_as_high_under_two_tips_as_under_one() -> None:
    alone, both = (
        json_of("sweep", TWO_TIPS, "--fault", "nick", *more)[1]["bumps"] for more in ((), ("--opposed", "1"))
    )
    assert [round(one["deg"]) for one in both] == [round(one["deg"]) for one in alone] == [217]
    assert both[0]["height_mm"] == pytest.approx(alone[0]["height_mm"], abs=0.003)  # a tenth of it


@pytest.mark.parametrize("fault", ["stuck", "tip-off", "unit-pressed", "stand-jump"])
def test_what_is_wrong_with_one_tip_leaves_it_undecided(fault: str) -> None:
    status, found = json_of("sweep", TWO_TIPS, "--opposed", "1", "--fault", fault)
    assert (status, found["decision"]["state"]) == (3, "undecided")
    assert any(one["state"] == "refused" and "first tip" in one["text"] for one in found["checks"])


def test_the_thickness_between_two_tips_does_not_see_the_wobble() -> None:
    status, found = json_of("thickness", DISC, "--limit", "0.030 mm")
    assert (status, found["state"]) == (0, "within")
    assert inside(extremes(moved_tips.DISC_THICKNESS).tir_mm, found["variation_95_mm"])


def test_and_is_told_from_a_recording_with_two_channels(tmp_path: Path) -> None:
    file = tmp_path / "disc.mcap"
    assert ran("practice", "bicycle-disc/two-tips", "--write", str(file))[0] == 0
    _, found = json_of("thickness", str(file))
    assert abs(off_deg(found["thinnest_deg"], 271.0)) < 8.0  # the bottom of the sum is flat


# An indicator carried round.


def test_the_sag_of_a_carried_indicator_comes_off() -> None:
    _, found = json_of("sweep", "practice:coupling/carried", "--sag", "practice:coupling/sag")
    p = found["pooled"]
    assert inside(0.120, p["tir_first_95_mm"])
    assert abs(off_deg(p["high_side_deg"], 100.0)) < 0.3


def test_without_it_the_bracket_is_taken_for_the_coupling() -> None:
    assert abs(json_of("sweep", "practice:coupling/carried")[1]["pooled"]["tir_first_mm"] - 0.120) > 0.01
