"""The text of a separation: both shares with their frames, what cannot be told, what to do."""

from dataclasses import replace

from example_results import lathe, separation_of_half_turn
from indexed_sweeps import indexed_sweep
from wobbles import order_one

from logger.reports import separation
from logger.reports.phrases import layout
from logger.studies import SeparationStudy, study_separation


def lines(study: SeparationStudy) -> list[str]:
    return layout(separation.as_text(study, "mm")).splitlines()


def test_the_answer_has_the_part_on_the_part_and_the_spindle_on_the_arbor() -> None:
    answer = lines(study_separation([lathe(0.0), lathe(180.0)]))[0]
    assert "part with its seat has 0.140 mm (5.5 thou) @ 63." in answer
    assert "on the part; spindle, arbor and cones have 0.030 mm (1.2 thou) @ " in answer
    assert answer.endswith("on the arbor (TIR of order 1 @ high side).")


def test_a_bore_says_that_it_reads_high_opposite_to_its_centre() -> None:
    study = replace(study_separation([lathe(0.0), lathe(180.0)]), surface="bore")
    assert "; a bore reads high opposite to where the centre lies)" in lines(study)[0]


def test_where_order_1_does_not_come_apart_it_says_where_to_sweep_next() -> None:
    study = study_separation([lathe(0.0), lathe(0.0)])
    said = lines(study)
    assert said[0] == "Order 1 cannot be separated with these positions: no number is given."
    assert said[2].startswith("Do this: re-index the part so that its mark sits at ")


def test_after_the_cut_it_is_no_verdict_on_the_part() -> None:
    (said,) = (line for line in lines(separation_of_half_turn()) if line.startswith("half.mcap: "))
    assert "That is 2.00 times the share of spindle, arbor and cones" in said
    assert said.endswith("orders 2, 4, 6, 8 ... are not seen: no verdict on the part.")


def test_orders_under_the_noise_share_one_line() -> None:
    said = lines(study_separation([lathe(0.0), lathe(120.0)]))
    (quiet,) = (line for line in said if "nothing clear of noise" in line)
    assert quiet.startswith("  order 2, ")


def test_the_caution_is_the_last_word() -> None:
    assert lines(separation_of_half_turn())[-1] == separation.REMOUNT_CAUTION


def test_a_reversal_on_a_face_tells_the_tilt_and_what_stays_in_one_piece() -> None:
    clocks = {"surface": "face", "track_radius": "110 mm"}
    first = indexed_sweep(order_one(0.048, 90.0), index_deg=0.0, tip_clock="3", **clocks)
    second = indexed_sweep(order_one(0.040, 90.0), name="b.mcap", index_deg=180.0, tip_clock="9", **clocks)
    said = lines(study_separation([first, second]))
    assert said[0].startswith(
        "Reversal on a face, part and tip moved to the other side: the spindle's tilt is "
    )
    assert said[1].startswith("The face's form and the axial motion do not come apart")
    assert said[2] == "All checks are clear."
