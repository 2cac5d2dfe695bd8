"""What a window keeps and what breaks it: set-ups, recordings, store, followers, restarts, cables."""

import re
from pathlib import Path

import pytest
from hands import seat_by_hand
from screens import Seat, practice_seat, recording_seat

from analysis.errors import BadInput
from analysis.setup import FORM_FIELDS
from logger.inputs.loading import load_sweep
from logger.live.opening import library_of

pytestmark = pytest.mark.slow  # a bench and a worker a case

TIR = re.compile(r"TIR +(\d\.\d+) mm")


def test_stars_and_reasons_are_in_the_store(seat: Seat) -> None:
    seat.turn(1)
    seat.press("space", "x")
    seat.enter("slipped")
    seat.analyse()
    stored = library_of(seat.settings)[0]
    assert (stored.starred, stored.left_out) == (True, "slipped")


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


@pytest.mark.parametrize("named", [False, True])
def test_the_window_ends_when_it_is_asked_for_twice(seat: Seat, named: bool) -> None:
    seat.go(0.5)
    if named:
        seat.press("r")
        seat.enter("job 7")
    seat.press("Q")
    state = seat.console.runtime.state
    path = state.named or state.recording
    assert path is not None
    assert f"Q again ends. Kept: {path.name}" in seat.text()
    assert not seat.console.over
    seat.press("q")
    seat.go(0.2)
    assert seat.console.over


@pytest.mark.parametrize("between", ["1", "m", "wait"])
def test_what_lies_between_two_presses_makes_them_two_first_ones(seat: Seat, between: str) -> None:
    seat.go(0.5)
    seat.press("q")
    seat.go(3.5) if between == "wait" else seat.press(between)
    assert "Q again" not in seat.text()
    seat.press("q")
    seat.go(0.5)
    assert "Q again ends" in seat.text()
    assert not seat.console.over


@pytest.mark.parametrize("starts_after_s", [0.25, 0.5, 0.66])
def test_a_key_held_down_ends_nothing(seat: Seat, starts_after_s: float) -> None:
    seat.go(0.5)
    seat.press("q")
    seat.press("q", apart_s=starts_after_s - 0.1)
    for _ in range(60):
        seat.press("q", apart_s=-0.06)  # with what a press lets pass, 25 a second
    seat.go(5.0)
    assert not seat.console.over


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
        follower.console.runtime.worker._greeting.farewell()
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
