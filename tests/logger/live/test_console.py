"""A person's conversation with a live session, on the virtual bench, without any screen: keys in, text out."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hands import seat_by_hand
from screens import Seat, practice_seat, recording_seat

from analysis.capture.events import TurnStarred
from analysis.errors import BadInput
from analysis.setup import FORM_FIELDS
from logger.inputs.loading import load_sweep
from logger.live.controllers.command_intents import INTENTS
from logger.live.controllers.window_intents import OpenPage, TogglePage
from logger.live.drawing.display_options import DisplayOptions
from logger.live.key_bindings import BY_NAME
from logger.live.opening import library_of

pytestmark = pytest.mark.slow  # a bench and a worker a case

TIR = re.compile(r"TIR +(\d\.\d+) mm")


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    made = practice_seat(tmp_path)
    yield made
    made.close()


def test_there_is_a_reading_before_anything_is_asked(seat: Seat) -> None:
    seat.go(1.0)
    assert re.search(r"the indicator shows 1\.[23]", seat.text())
    assert seat.console.prompt is None


def test_there_is_no_tir_before_one_full_turn(seat: Seat) -> None:
    seat.go(4.0)
    assert TIR.search(seat.text()) is None
    assert "after one full turn" in seat.text()
    seat.turn(1)
    assert TIR.search(seat.text()) is not None


def test_the_missing_places_are_named_until_seen(seat: Seat) -> None:
    seat.go(3.0)
    assert "not yet seen: " in seat.text()
    seat.turn(1)
    assert "seen all round" in seat.text()


def test_the_answer_is_one_sentence_with_the_limit(seat: Seat) -> None:
    seat.turn(3)
    text = " ".join(seat.text().split())
    assert "Face runout 0.146 mm" in text
    assert "over the entered limit 0.050 mm" in text
    assert "over by 0.09" in text
    assert "last two turns agree within" in text


def test_space_stars_the_last_full_turn(seat: Seat) -> None:
    seat.turn(1)
    seat.press("space")
    assert "turn 1 has a star" in seat.text()
    assert "★" in seat.text()


def test_a_held_space_stars_once(seat: Seat) -> None:
    seat.turn(1)
    for _ in range(60):
        seat.clock.now_s += 0.05
        seat.console.key("space", seat.clock.now_s)
    seat.go(0.2)
    events = seat.console.runtime.session.capture().events
    assert len([one for one in events if isinstance(one.event, TurnStarred)]) == 1


def test_undo_takes_a_star_back(seat: Seat) -> None:
    seat.turn(1)
    seat.press("space", "u")
    assert "★" not in seat.text()


def test_zero_is_of_the_display_only(seat: Seat) -> None:
    seat.go(1.0)
    seat.press("z")
    assert "zeroed" in seat.text()
    assert re.search(r"the indicator shows 1\.[23]", seat.text())
    seat.press("u")
    assert "zeroed" not in seat.text()


def test_a_mark_moves_angle_zero_and_begins_the_turns_anew(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.turn(seat, 1.2)
    seat.press("m")
    assert "after one full turn" in seat.text()
    angle = seat.console.runtime.view().angle_deg
    assert angle is not None
    assert angle == pytest.approx(0.0, abs=0.2)  # a count is 0.15 deg
    hand.turn(seat, 1.1)
    assert TIR.search(seat.text()) is not None
    seat.close()


def test_the_only_mark_is_taken_back_as_if_it_never_was(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.turn(seat, 0.3)
    seat.press("m")
    session = seat.console.runtime.session
    assert session.zero_count not in (0.0, None)
    seat.press("u")
    assert "mark: taken back" in seat.text()
    assert (session.zero_count, session.mark_counts("part")) == (0.0, [])
    assert "no mark touched" in seat.text()
    seat.close()


def test_a_second_mark_taken_back_leaves_the_first(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path)
    hand.turn(seat, 0.3)
    seat.press("m")
    first = seat.console.runtime.session.zero_count
    hand.turn(seat, 0.3)
    seat.press("m")
    assert seat.console.runtime.session.zero_count != first
    seat.press("u")
    assert seat.console.runtime.session.zero_count == first
    seat.close()


def test_the_arbor_s_mark_is_touched_on_the_lathe_alone_and_taken_back(tmp_path: Path) -> None:
    _, seat = seat_by_hand(tmp_path, "wind-pump/mount-2")
    assert " A arbor " in seat.text()
    seat.press("a")
    session = seat.console.runtime.session
    assert len(session.mark_counts("arbor")) == 1
    seat.press("u")
    assert session.mark_counts("arbor") == []
    seat.close()


@pytest.mark.parametrize("stage", ["as found", "on the lathe"])
def test_the_footer_has_all_its_keys_at_80_columns(tmp_path: Path, stage: str) -> None:
    seat = practice_seat(tmp_path, override={"stage": stage})
    for at_s in (0.0, 1.0):
        if at_s:
            seat.go(at_s)
        line = seat.text().splitlines()[-1]
        lathe = [" A arbor"] if stage == "on the lathe" else []
        for label in (" SPACE ", " M mark", *lathe, " Z zero", " F find", " Q quit", " H help"):
            assert label in line
    seat.close()


def test_in_its_own_bearings_there_is_no_arbor_to_mark(seat: Seat) -> None:
    seat.go(1.0)
    assert " A arbor " not in seat.text()
    seat.press("a")
    assert seat.console.runtime.session.mark_counts("arbor") == []
    assert "for steps on the lathe" in seat.text()


def test_what_is_done_is_taken_back_the_last_first(seat: Seat) -> None:
    seat.turn(1)
    seat.press("z", "space", "c", "u", "u", "u", "u")
    assert "nothing to take back" in seat.text()
    assert seat.console.runtime.state.display.zero_mm == 0.0
    assert "★" not in seat.text()


def test_a_window_left_out_is_taken_back(seat: Seat) -> None:
    seat.turn(1)
    seat.press("x")
    seat.enter("40:52=keyway")
    seat.press("u")
    seat.analyse()
    analysis = seat.console.runtime.state.analysis
    assert analysis is not None
    assert analysis.result is not None
    assert analysis.result.left_out == ()


def test_clear_begins_high_and_low_anew_and_undo_brings_them_back(seat: Seat) -> None:
    seat.turn(1)
    before = seat.console.runtime.readout.high
    seat.press("c")
    assert seat.console.runtime.readout.high != before
    seat.press("u")
    assert seat.console.runtime.readout.high == before


def test_inches_are_on_every_number_at_once(seat: Seat) -> None:
    seat.turn(1)
    seat.press("I")
    text = seat.text()
    assert re.search(r"TIR +0\.00\d+ in", text)
    assert "the indicator shows 0.05" in text


def test_a_turn_is_left_out_with_a_reason_and_taken_back(seat: Seat) -> None:
    seat.turn(2)
    seat.press("x")
    seat.enter("somebody leaned on the bench")
    seat.go(0.2)
    assert "turn 2 is left out: somebody leaned" in seat.text()
    result = seat.console.runtime.state.analysis
    assert result is not None
    assert result.result is not None
    assert result.result.pooled.turns == 1
    seat.press("u")
    seat.go(0.2)
    again = seat.console.runtime.state.analysis
    assert again is not None
    assert again.result is not None
    assert again.result.pooled.turns == 2


def test_nothing_is_left_out_without_a_reason(seat: Seat) -> None:
    seat.turn(1)
    seat.press("x")
    with pytest.raises(BadInput, match="a reason is needed"):
        seat.enter("  ")


def test_a_window_is_left_out_with_a_reason(seat: Seat) -> None:
    seat.turn(1)
    seat.press("x")
    seat.enter("40:52=keyway")
    seat.go(0.2)
    analysis = seat.console.runtime.state.analysis
    assert analysis is not None
    assert analysis.result is not None
    assert [window.reason for window in analysis.result.left_out] == ["keyway"]


def test_stars_and_reasons_are_in_the_store(seat: Seat) -> None:
    seat.turn(1)
    seat.press("space", "x")
    seat.enter("slipped")
    seat.analyse()
    stored = library_of(seat.settings)[0]
    assert (stored.starred, stored.left_out) == (True, "slipped")


def test_locked_keys_do_nothing_until_unlocked(seat: Seat) -> None:
    seat.turn(1)
    seat.press("l", "space", "z", "2")
    assert "keys are locked" in seat.text()
    assert "★" not in seat.text()
    seat.press("l", "space")
    assert "★" in seat.text()


@pytest.mark.parametrize(
    ("key", "title"),
    [("1", "1 Turning"), ("2", "2 Set-up"), ("4", "4 Compare"), ("6", "6 Numbers"), ("f", "Find"),
     ("h", "Help"), ("f2", "2 Set-up"), ("t", "Typed readings"), ("3", "3 Steps"), ("5", "5 Owner"),
     ("s", "Screws")],
)  # fmt: skip
def test_every_page_has_its_key(seat: Seat, key: str, title: str) -> None:
    seat.go(0.5)
    seat.press(key)
    assert title in seat.text().splitlines()[0]


def test_every_command_asks_for_something_and_every_page_that_is_opened_is_there(seat: Seat) -> None:
    assert set(INTENTS) == set(BY_NAME)
    opened = {one.name for one in INTENTS.values() if isinstance(one, OpenPage | TogglePage)}
    assert opened <= set(seat.console.controllers)


def test_a_number_opens_into_its_formula_with_its_values(seat: Seat) -> None:
    seat.turn(2)
    seat.press("6", "down", "down", "space")
    text = seat.text()
    assert "2 A1, A1 = root(a1 squared + b1 squared)" in text
    assert re.search(r"A1 = 0\.07\d+ mm, 2 A1 = 0\.14\d+ mm", text)


def test_every_number_opens_into_a_formula_that_ends_in_its_value(seat: Seat) -> None:
    seat.turn(3)
    seat.press("6")
    found = seat.console.controller._found()  # type: ignore[attr-defined]
    assert len(found) >= 15
    for one in found:
        figures = re.findall(r"\d+\.\d+|\d+", one.value)
        formula = " ".join(one.show_me)
        assert not figures or any(figure[:4] in formula for figure in figures), one.name
        assert len(one.show_me) >= 2, one.name


def test_every_angle_says_whose_it_is(tmp_path: Path) -> None:
    for mark_on in ("part", "arbor"):
        seat = practice_seat(tmp_path / mark_on, override={"mark_on": mark_on})
        seat.turn(3)
        assert f"{mark_on} at " in seat.text()
        assert f"past the {mark_on}'s mark" in " ".join(seat.text().split())
        seat.press("6")
        assert re.search(rf"high side \(which way\) +\d+\.\d deg on the {mark_on}", seat.text())
        seat.press("w")
        assert re.search(rf"HIGH POINT \d+ DEG \(\d+ TO \d+\) ON THE {mark_on.upper()}", seat.text())
        seat.press("w", "f")
        assert f"past the {mark_on}'s mark" in seat.text()
        seat.close()


def test_two_stored_turns_are_compared_with_their_difference(seat: Seat) -> None:
    seat.turn(2)
    seat.press("4", "down", "space", "up", "enter")
    text = seat.text()
    assert "changed by 0.0" in text
    assert "same set-up: comparable" in text
    assert "difference, after less before" in text


def test_the_wall_view_says_it_in_words(seat: Seat) -> None:
    seat.turn(3)
    seat.press("w")
    text = seat.text()
    assert "OVER THE ENTERED LIMIT" in text
    assert re.search(r"HIGH POINT \d+ DEG \(\d+ TO \d+\) ON THE PART", text)
    seat.press("escape")
    assert "1 Turning" in seat.text()


def test_find_offers_the_spots_of_the_sweep_and_the_holes(seat: Seat) -> None:
    seat.turn(1)
    seat.press("f")
    text = seat.text()
    for name in ("high point", "high side", "low point", "hole 6", "the mark"):
        assert name in text
    seat.press("space")
    assert re.search(r"to go, (counter-)?clockwise|HERE", seat.text())


def test_bells_mean_something_and_can_be_turned_off(seat: Seat) -> None:
    seat.turn(3)
    assert seat.console.bells_to_ring() == 2
    seat.press("b")
    seat.turn(1)
    assert seat.console.bells_to_ring() == 0


def test_a_limit_without_a_unit_is_told_and_changes_nothing(seat: Seat) -> None:
    seat.go(0.5)
    seat.press("2", *["down"] * 5, "space")
    prompt = seat.console.prompt
    assert prompt is not None
    assert prompt.title == "limit as written"
    with pytest.raises(BadInput, match="has no unit"):
        prompt.take("0.05")
    prompt.take("3 thou")
    seat.go(0.2)
    assert seat.console.runtime.session.setup.text["limit"] == "3 thou"


def test_a_setup_is_kept_for_the_next_time(tmp_path: Path) -> None:
    first = practice_seat(tmp_path)
    first.go(1.0)
    first.press("2", *["down"] * [field.key for field in FORM_FIELDS].index("declared_end"), "space")
    first.close()
    kept = sorted(path.name for path in (tmp_path / "config" / "setups").iterdir())
    assert kept == ["part-bull-gear-flange.toml", "rig-board-51ab0001.toml"]


def test_what_was_kept_of_board_and_part_holds_the_next_time_below_what_is_given(tmp_path: Path) -> None:
    first = practice_seat(tmp_path)
    first.go(1.0)
    at = {field.key: k for k, field in enumerate(FORM_FIELDS)}
    first.press("2", *["down"] * at["gauge_due"], "space")
    first.enter("2099-01-31")  # kept with the board
    first.press(*["down"] * (at["screws"] - at["gauge_due"]), "space")
    first.enter("0 120 240")  # kept with the part
    first.close()
    again = practice_seat(tmp_path, override={"screws": "0 90"})
    again.go(1.0)
    text = again.console.runtime.session.setup.text
    assert (text["gauge_due"], text["screws"]) == ("2099-01-31", "0 90")
    again.close()
    third = practice_seat(tmp_path)
    third.go(1.0)
    assert third.console.runtime.session.setup.text["screws"] == "0 120 240"
    third.close()


def test_a_damaged_kept_set_up_is_told_and_the_window_opens(tmp_path: Path) -> None:
    folder = tmp_path / "config" / "setups"
    folder.mkdir(parents=True)
    (folder / "rig-board-51ab0001.toml").write_text("sense = ")
    seat = practice_seat(tmp_path)
    seat.go(1.0)
    assert "cannot be read as a set-up" in seat.text()
    assert "the indicator shows" in seat.text()
    seat.close()


def test_the_index_pulse_is_a_mark(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, override={"mark": "index"})
    seat.turn(1)
    assert "no mark touched" not in seat.text()
    seat.close()


def test_typed_readings_are_asked_place_by_place(seat: Seat) -> None:
    seat.go(0.5)
    seat.press("t", "space")
    for line in ("0", "0.03", "-0.02", "0.03", "0"):
        for character in line:
            seat.console.key(character, seat.clock.now_s)
        seat.console.key("enter", seat.clock.now_s)
    text = " ".join(seat.text().split())
    assert "0.050 mm" in text
    assert "4 places can miss up to 29 %" in text


def test_the_recording_gives_the_numbers_of_the_screen(seat: Seat) -> None:
    seat.turn(3)
    shown = TIR.search(seat.text())
    analysis = seat.console.runtime.state.analysis
    seat.close()
    recorder = seat.console.runtime.recorder
    assert recorder is not None
    from analysis.sweep.pipeline import analyse

    again = analyse(load_sweep(str(recorder.path), {}).capture)
    assert analysis is not None
    assert analysis.result is not None
    assert shown is not None
    assert (f"{again.pooled.tir_fit.value:.4f}", f"{again.turns[2].tir_raw_mm:.3f}") == (
        f"{analysis.result.pooled.tir_fit.value:.4f}",
        shown.group(1),
    )


def test_a_named_recording_is_asked_for_before_the_end(seat: Seat) -> None:
    seat.go(0.5)
    seat.press("r")
    seat.enter("job 7")
    seat.press("q")
    assert not seat.console.over
    seat.enter("n")
    assert not seat.console.over
    seat.press("q")
    seat.enter("y")
    assert seat.console.over


def test_an_unnamed_recording_ends_at_once(seat: Seat) -> None:
    seat.go(0.5)
    seat.press("Q")
    assert seat.console.over


def test_the_boards_button_walks_like_space(seat: Seat) -> None:
    seat.turn(1)
    seat.source.bench.press(1, seat.source.bench.now_us + 1000)  # type: ignore[attr-defined]
    seat.go(0.5)
    assert "turn 1 has a star" in seat.text()


@pytest.mark.parametrize(
    ("fault", "words"),
    [("unit-pressed", "somebody pressed in/mm"), ("zero-pressed", "somebody pressed zero"),
     ("restart", "board restarted")],
)  # fmt: skip
def test_what_breaks_a_sweep_is_said_in_words(tmp_path: Path, fault: str, words: str) -> None:
    seat = practice_seat(tmp_path, fault=fault)
    seat.go(15.0)
    text = " ".join(seat.text().split())
    assert words in text
    assert "The sweep is broken" in text
    seat.close()


def test_after_a_restart_the_mark_begins_a_new_sweep(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path, fault="restart")
    seat.go(15.0)
    hand.rpm = 0.0
    seat.go(1.5)
    seat.press("m")
    hand.turn(seat, 1.1)
    analysis = seat.console.runtime.state.analysis
    assert analysis is not None
    assert analysis.result is not None
    assert [check.name for check in analysis.result.checks if check.state == "refused"] == []
    seat.close()


def test_a_pulled_plug_is_dashes_and_words_and_is_taken_up_again(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, fault="unplug")
    seen = []
    for _ in range(400):
        seat.go(0.05, analyse=False)
        seen.append("board gone" in seat.text())
        if any(seen) and not seen[-1]:
            break
    gone = sum(seen) * 0.05
    assert 2.0 < gone < 4.0  # the plug is out for 3 s
    seat.go(1.0)
    assert "the indicator shows" in seat.text()
    capture = seat.console.runtime.session.capture()
    assert capture.link is not None
    assert [gap.why for gap in capture.link.gaps] == ["unplugged"]
    seat.close()


def test_a_follower_sees_the_same_and_can_do_nothing(tmp_path: Path) -> None:
    owner = practice_seat(tmp_path)
    owner.turn(2)
    recorder = owner.console.runtime.recorder
    assert recorder is not None
    owner.go(0.3)
    followers = [recording_seat(recorder.path, tmp_path / str(k), follow=True) for k in range(2)]
    shown = []
    for follower in followers:
        follower.go(3.0)
        found = TIR.search(follower.text())
        assert found is not None
        shown.append(found.group(1))
        follower.press("z", "m", "space", "u")
        assert "view only" in follower.text()
        assert follower.console.runtime.state.display.zero_mm == 0.0
        follower.console.runtime.worker._farewell()
    found = TIR.search(owner.text())
    assert found is not None
    assert shown == [found.group(1)] * 2
    owner.close()


def test_what_the_owner_zeroes_followers_see(tmp_path: Path) -> None:
    owner = practice_seat(tmp_path)
    owner.go(1.0)
    owner.press("z")
    recorder = owner.console.runtime.recorder
    assert recorder is not None
    follower = recording_seat(recorder.path, tmp_path / "other", follow=True)
    follower.go(2.0)
    assert (
        follower.console.runtime.state.display.zero_mm == owner.console.runtime.state.display.zero_mm != 0.0
    )
    owner.close()


def test_ascii_has_no_other_glyphs(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, options=DisplayOptions(ascii_only=True))
    seat.turn(1)
    seat.press("space")
    for key in ("1", "2", "4", "6", "f", "h", "w"):
        seat.press(key)
        assert seat.text().isascii(), key
        seat.press("escape")
    seat.close()


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (200, 60)])
def test_every_page_fills_every_size_exactly(tmp_path: Path, size: tuple[int, int]) -> None:
    seat = practice_seat(tmp_path)
    seat.turn(1)
    for key in ("1", "2", "4", "6", "f", "h", "t", "w"):
        seat.press(key)
        lines = seat.text(*size).split("\n")
        assert (len(lines), {len(line) for line in lines}) == (size[1], {size[0]}), key
        seat.press("escape")
    seat.close()


def test_a_window_that_is_too_small_says_how_large(seat: Seat) -> None:
    seat.go(0.5)
    text = " ".join(seat.text(60, 20).split())
    assert "It has 60 x 20, it needs 80 x 24." in text


def test_names_from_devices_and_files_steer_nothing(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, override={"part": "flange\x1b[2J\x07"})
    seat.go(0.5)
    for key in ("1", "2"):
        seat.press(key)
        assert "\x1b" not in seat.text()
        assert "\x07" not in seat.text()
    seat.close()


def test_the_check_walks_through_its_five_parts(tmp_path: Path) -> None:
    _, seat = seat_by_hand(tmp_path)
    seat.press("2", "up", "up", "space")
    assert "Touch nothing" in seat.text()
    seat.press("space")
    seat.go(5.0)
    assert "Tap the stand lightly" in seat.text()
    seat.press("space", "space", "space", "space")
    seat.enter("0.5 mm")
    assert len(seat.console.controllers["check"].run.done) == 5  # type: ignore[attr-defined]
    seat.close()
