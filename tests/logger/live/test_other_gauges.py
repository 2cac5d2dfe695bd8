"""The screen at gauges that are no board of ours: it draws what their angles allow, else it says why not."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from other_gauges import Seen, as_found, in_pieces
from screens import Seat, lines_seat

from logger.stream import LinkBytes

LIMIT = {"limit": "0.050 mm", "surface": "face"}
COUNTS = {
    "rig.line.pattern": r"^(?P<time>\d+) (?P<count>-?\d+) (?P<reading>-?\d+\.\d+)$",
    "rig.encoder.counts_per_turn": "2400",
}
READINGS = {"rig.line.pattern": r"^(?P<time>\d+) (?P<reading>-?\d+\.\d+)$"}
MARKS = {**READINGS, "rig.line.index": r"^mark (?P<time>\d+)"}
TWO = {
    "rig.line.pattern": r"^(?P<reading>-?\d+\.\d+)$",
    "rig.second.line.pattern": r"^(?P<count>-?\d+)$",
    "rig.second.encoder.counts_per_turn": "2400",
}
TIR = re.compile(r"TIR +(\d\.\d+) mm")
BRAILLE = re.compile("[⠁-⣿]")


@pytest.fixture(scope="module")
def seen() -> Seen:
    return as_found(turns=4)


def readings_of(seen: Seen) -> list[tuple[float, str]]:
    return [(t, f"{round(t * 1e6)} {r:.3f}\n") for t, r in zip(seen.t_s, seen.reading_mm, strict=True)]


def drawn(seat: Seat) -> bool:
    """Tell whether a trace is drawn."""
    return BRAILLE.search(seat.text()) is not None


def height_at(deg: float) -> float:
    phi = math.radians(deg)
    return 0.071 * math.cos(phi - math.radians(63)) + 0.009 * math.cos(2 * phi - math.radians(40))


def shows_the_dial(text: str) -> None:
    """See that the page shows what a dial would: 0.146 mm and a few steps or noises more, never less."""
    found = TIR.search(text)
    assert found is not None
    assert 0.145 <= float(found.group(1)) <= 0.155


def test_lines_with_counts_are_shown_like_a_board_s(tmp_path: Path, seen: Seen) -> None:
    lines = [
        (t, f"{round(t * 1e6)} {count} {reading:.3f}\n")
        for t, count, reading in zip(seen.t_s, seen.count, seen.reading_mm, strict=True)
    ]
    seat = lines_seat(tmp_path, in_pieces(lines), COUNTS, LIMIT)
    seat.turn(2)
    text = seat.text()
    shows_the_dial(text)
    assert "seen all round" in text
    assert drawn(seat)
    assert re.search(r"the indicator shows \d\.\d{3} mm", text)  # the step of 1 um, told by the lines
    seat.close()


def test_a_gauge_that_prints_lines_is_not_greeted(tmp_path: Path, seen: Seen) -> None:
    seat = lines_seat(tmp_path, in_pieces(readings_of(seen)), READINGS, {})
    seat.go(2.0)
    assert seat.source.sent == b""  # type: ignore[attr-defined]
    seat.close()


def test_the_set_up_of_a_gauge_that_prints_lines_is_kept_without_its_rig(tmp_path: Path, seen: Seen) -> None:
    seat = lines_seat(tmp_path, in_pieces(readings_of(seen)), READINGS, {"part": "wheel"})
    seat.go(1.0)
    seat.press("2", *["down"] * 13, "space")
    seat.close()
    kept = {path.name: path.read_text() for path in (tmp_path / "config" / "setups").iterdir()}
    assert "part-wheel.toml" in kept
    assert all("rig." not in text for text in kept.values())


def test_a_follower_of_such_a_recording_shows_the_same(tmp_path: Path, seen: Seen) -> None:
    from screens import recording_seat

    seat = lines_seat(tmp_path, in_pieces(marks_of(seen)), MARKS, LIMIT)
    seat.turn(2)
    recorder = seat.console.runtime.recorder
    assert recorder is not None
    follower = recording_seat(recorder.path, tmp_path / "other", follow=True)
    follower.go(3.0)
    mine, others = TIR.search(seat.text()), TIR.search(follower.text())
    assert mine is not None
    assert others is not None
    assert mine.group(1) == others.group(1)
    follower.console.runtime.worker._greeting.farewell()
    seat.close()


def marks_of(seen: Seen) -> list[tuple[float, str]]:
    return sorted(readings_of(seen) + [(t, f"mark {round(t * 1e6)}\n") for t in seen.pulse_s])


def test_before_the_second_index_mark_there_is_no_angle_and_it_says_so(tmp_path: Path, seen: Seen) -> None:
    seat = lines_seat(tmp_path, in_pieces(marks_of(seen)), MARKS, LIMIT)
    seat.go(seen.pulse_s[0] + 1.0)
    assert "no angle before the mark has passed twice" in seat.text()
    assert TIR.search(seat.text()) is None
    assert not drawn(seat)
    seat.close()


def test_one_index_mark_a_turn_draws_the_turn_and_gives_its_tir(tmp_path: Path, seen: Seen) -> None:
    seat = lines_seat(tmp_path, in_pieces(marks_of(seen)), MARKS, LIMIT)
    seat.go(seen.pulse_s[1] + 0.5)
    text = seat.text()
    shows_the_dial(text)
    assert drawn(seat)
    assert "angle by the time between marks: turn evenly" in text
    assert re.search(r"part at +\d+\.\d deg", text)
    seat.close()


def test_between_index_marks_the_angle_goes_on_by_the_time_of_the_turn_before(
    tmp_path: Path, seen: Seen
) -> None:
    seat = lines_seat(tmp_path, in_pieces(marks_of(seen)), MARKS, LIMIT)
    halfway = 0.5 * (seen.pulse_s[1] + seen.pulse_s[2])
    seat.go(halfway)
    angle = seat.console.runtime.view().angle_deg
    assert angle is not None
    # A hand is not even: half the time is half the turn only within a tenth of a turn.
    assert abs(angle % 360.0 - 180.0) < 36.0
    seat.close()


def test_a_steady_spin_is_drawn_once_its_period_is_known(tmp_path: Path) -> None:
    t = np.arange(0.0, 40.0, 0.02)
    noise = np.random.default_rng(4).normal(0, 0.0008, len(t))
    heights = [height_at(360.0 * x / 7.9) for x in t]
    lines = [(float(x), f"{round(x * 1e6)} {h + e:.3f}\n") for x, h, e in zip(t, heights, noise, strict=True)]
    seat = lines_seat(tmp_path, in_pieces(lines), READINGS, {**LIMIT, "angle_source": "steady"})
    seat.go(4.0)
    assert "the period of the spin is looked for" in seat.text()
    assert not drawn(seat)
    seat.go(26.0)
    text = seat.text()
    shows_the_dial(text)
    assert drawn(seat)
    assert "nothing on the part" in text
    seat.close()


def stopping_at(places: int, sets: int = 1) -> list[LinkBytes]:
    """Return lines of a part that stands 3 s at each place and at the first again."""
    rng = np.random.default_rng(5)
    lines = []
    for stop in range(sets * (places + 1)):
        height = height_at(360.0 * (stop % (places + 1)) / places)
        for k in range(60):
            t = stop * 3.0 + k * 0.05
            lines.append((t, f"{round(t * 1e6)} {height + rng.normal(0, 0.0005):.3f}\n"))
    return in_pieces(lines)


STOPS = {**LIMIT, "angle_source": "stops", "places": "8"}


def stop(seat: Seat, until_s: float) -> None:
    """Stand until then, and press SPACE."""
    seat.go(until_s - (seat.clock.now_s - 100.0), analyse=False)
    seat.console.key("space", seat.clock.now_s)
    seat.go(0.1)


def test_stops_are_taken_with_space_place_after_place_and_drawn(tmp_path: Path) -> None:
    seat = lines_seat(tmp_path, stopping_at(8), READINGS, STOPS)
    seat.go(1.0)
    assert "SPACE: take place 1 of 8" in seat.text()
    assert "stand still at place 1 of 8" in seat.text()
    for k in range(3):
        stop(seat, 3.0 * k + 2.5)
    assert "place 4 of 8" in seat.text()
    assert drawn(seat)
    assert TIR.search(seat.text()) is None
    for k in range(3, 9):
        stop(seat, 3.0 * k + 2.5)
    text = seat.text()
    assert TIR.search(text) is not None
    assert "over the entered limit" in " ".join(text.split())
    assert "seen all round" in text
    seat.close()


def test_a_stop_that_still_moves_is_not_taken(tmp_path: Path) -> None:
    seat = lines_seat(tmp_path, stopping_at(8), READINGS, STOPS)
    stop(seat, 2.5)
    stop(seat, 3.4)  # the part came to the second place 0.4 s ago
    assert "still moving" in seat.text()
    assert "take place 2 of 8" in seat.text() or "place 2 of 8" in seat.text()
    seat.close()


def test_stopping_all_round_again_is_a_new_set(tmp_path: Path) -> None:
    seat = lines_seat(tmp_path, stopping_at(4, sets=2), READINGS, {**STOPS, "places": "4"})
    for k in range(10):
        stop(seat, 3.0 * k + 2.5)
    assert TIR.search(seat.text()) is not None
    assert "take place 1 of 4" in seat.text()
    seat.close()


def test_where_nothing_tells_the_angle_the_reading_is_shown_and_the_reason_said(
    tmp_path: Path, seen: Seen
) -> None:
    seat = lines_seat(tmp_path, in_pieces(readings_of(seen)), READINGS, LIMIT)
    seat.go(3.0)
    text = seat.text()
    assert "the indicator shows" in text
    assert "no strip: nothing tells the angle" in text
    assert not drawn(seat)
    seat.close()


def test_a_gauge_and_an_encoder_on_two_ports_draw_their_turn(tmp_path: Path, seen: Seen) -> None:
    gauge = [(t, f"{reading:.3f}\n") for t, reading in zip(seen.t_s, seen.reading_mm, strict=True)]
    encoder = [(t, f"{count}\n") for t, count in zip(seen.t_s, seen.count, strict=True)]
    items = sorted(in_pieces(gauge, 0, 0.01) + in_pieces(encoder, 1), key=lambda item: item.host.monotonic_ns)
    seat = lines_seat(tmp_path, items, TWO, LIMIT)
    seat.turn(1)
    text = seat.text()
    shows_the_dial(text)
    assert drawn(seat)
    assert "angle from the second port" in text
    seat.close()
