"""The whole wind-pump job at the page Steps, in the window, by SPACE alone; figures as the job tells them."""

import asyncio
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from screens import Seat, ShownWindow, practice_seat
from textual.pilot import Pilot

from logger.job.job_file import FILE
from logger.job.steps import WANTED_TURNS
from logger.live.job.guide_state import GuidePhase

PUSH_PULL_S = 14.0
"""Three times home and back at the bench's pace, and a little more."""


@dataclass
class JobSeen:
    """What was seen on the way."""

    results: dict[str, str] = field(default_factory=dict)
    """The page on which each step told its result, as one line of text, and the how manieth it was."""
    cautions: list[str] = field(default_factory=list)
    """Headings of the steps at which a caution was asked."""
    end: str = ""
    sources: str = ""
    job: dict[str, Any] = field(default_factory=dict)
    rows: set[int] = field(default_factory=set)


def right_of(lines: list[str]) -> str:
    """Return the right half of the page as one line."""
    return " ".join(" ".join(line.partition("│")[2].split()) for line in lines if "│" in line)


async def done_by_space(window: ShownWindow, pilot: Pilot[None], seat: Seat) -> JobSeen:
    """Press SPACE and nothing else until the job is done."""
    seen, guide = JobSeen(), seat.console.guide
    await press(window, pilot, seat, "3")
    for _ in range(120):
        window.frame()
        await pilot.pause()
        page = right_of(window.text())
        seen.rows |= {len(line) for line in window.text()}
        if guide.phase is GuidePhase.DONE:
            break
        if guide.phase is GuidePhase.CAUTION:
            seen.cautions.append(page)
        if guide.phase is GuidePhase.SHOWN:
            assert guide.job is not None
            times = max(guide.job.attempt, len(guide.job.of_step(guide.job.at)))
            seen.results[f"{guide.job.at} {times}"] = page
        if guide.phase is GuidePhase.TURNING:
            turn(seat)
        await press(window, pilot, seat, "space")
    seen.end = right_of(window.text())
    seen.job = json.loads(next((seat.settings.data_folder / "jobs").rglob(FILE)).read_text("utf-8"))
    await press(window, pilot, seat, "5")
    seen.sources = " ".join(" ".join(window.text()).split())
    return seen


async def press(window: ShownWindow, pilot: Pilot[None], seat: Seat, key: str) -> None:
    """Press a key slowly and let it come back, with what runs beside the painting."""
    seat.clock.now_s += 1.0
    await pilot.press(key)
    await pilot.pause()
    seat.go(0.2)
    seat.go(0.1)
    window.frame()
    await pilot.pause()


def turn(seat: Seat) -> None:
    """Let the bench do the step's sweep, faster than life."""
    guide = seat.console.guide
    assert guide.sweep is not None
    if guide.sweep.takes == "push-pull":
        seat.go(PUSH_PULL_S, analyse=False)
        return
    for _ in range(2400):
        seat.go(0.05, analyse=False)
        assert guide.sweep is not None
        if len(guide.sweep.turns) >= WANTED_TURNS:
            return
    raise AssertionError("no three turns in two minutes")


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Iterator[JobSeen]:
    seat = practice_seat(tmp_path_factory.mktemp("steps"), story=True)
    seat.go(1.0)
    found: list[JobSeen] = []

    async def go() -> None:
        window = ShownWindow(seat)
        async with window.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            found.append(await done_by_space(window, pilot, seat))
        window.finish()

    asyncio.run(go())
    yield found[0]
    seat.close()


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("end-float 1", "End float 0.210 mm"),
        ("end-float 1", "take the float out before a face is measured"),
        ("end-float 2", "End float 0.010 mm"),
        ("as-found 1", "over the entered limit 0.050 mm"),
        ("mounting 1", "would leave 0.060 mm"),
        ("mounting 1", "mount it again."),
        ("mounting 2", "mounting good enough."),
        ("half-before 1", "@ 150 deg on the arbor"),
        ("half-before 1", "Even orders (oval, saddle) cannot be separated"),
        ("predicted 1", "mounting good enough."),
        ("cut-card 1", "Least stock to clean up"),
        ("after-cut 1", "on the cutting mount: not evidence of the result"),
        ("half-after 1", "the lathe reads 0.060"),
        ("as-left 1", "within the entered limit 0.050 mm"),
        ("as-left 1", "Predicted 0.03"),
    ],
)
def test_each_step_says_its_result(seen: JobSeen, step: str, words: str) -> None:
    assert words in seen.results[step]


def number(text: str, pattern: str) -> float:
    found = re.search(pattern, text)
    assert found is not None, text
    return float(found.group(1))


# Three turns at 1 um noise and 1 um steps tell a TIR of order 1 to some 0.2 um and its side to half a degree.
MM, DEG = 0.0007, 1.5


@pytest.mark.parametrize(
    ("step", "pattern", "true", "off"),
    [
        ("as-found 1", r"Face runout (\d\.\d+) mm", 0.146, 0.0015),
        ("mounting 1", r"Mount vector \(lathe less bearings\): (\d\.\d+) mm", 0.060, MM),
        ("mounting 2", r"Mount vector \(lathe less bearings\): (\d\.\d+) mm", 0.0305, MM),
        ("half-before 1", r"arbor and cones have (\d\.\d+) mm", 0.030, MM),
        ("half-before 1", r"(\d+) deg on the arbor", 150.0, DEG),
        ("half-after 1", r"the lathe reads (\d\.\d+) mm", 0.060, MM),
        ("half-after 1", r"and cones: they have (\d\.\d+) mm", 0.030, MM),
        ("as-left 1", r", found (\d\.\d+) mm", 0.0305, MM),
        ("as-left 1", r"found \d\.\d+ mm @ (\d+) deg", 12.6, DEG),
    ],
)
def test_the_figures_are_those_of_the_story(
    seen: JobSeen, step: str, pattern: str, true: float, off: float
) -> None:
    assert number(seen.results[step], pattern) == pytest.approx(true, abs=off)


def test_after_the_cut_no_verdict_is_shown(seen: JobSeen) -> None:
    assert "entered limit" not in seen.results["after-cut 1"]


def test_each_caution_is_asked_once(seen: JobSeen) -> None:
    assert len(seen.cautions) == len(set(seen.cautions)) == len(seen.job["acknowledged"]) == 7


def test_the_end_shows_the_verdict_and_the_change(seen: JobSeen) -> None:
    assert "The job is done." in seen.end
    assert "within the entered limit" in seen.end
    assert "order 1 changed by 0.12" in seen.end


def test_owner_names_every_share_and_what_cannot_be_separated(seen: JobSeen) -> None:
    for words in ("P part", "L seat", "S spindle", "D dirt of mounting 1", "on the arbor", "95 %"):
        assert words in seen.sources
    assert "Even orders (oval, saddle) cannot be separated" in seen.sources


@pytest.mark.parametrize(
    ("name", "true_mm", "true_deg"),
    [("part", 0.142, 63.0), ("seat", 0.022, 260.0), ("spindle", 0.030, 150.0),
     ("dirt of mounting 1", 0.090, 20.0)],
)  # fmt: skip
def test_each_share_on_owner_is_that_of_the_story(
    seen: JobSeen, name: str, true_mm: float, true_deg: float
) -> None:
    found = re.search(rf"{name} (\d\.\d+) mm \([^)]*\) @ (\d+)", seen.sources)
    assert found is not None
    assert float(found.group(1)) == pytest.approx(true_mm, abs=MM)
    # The seat's side is the worst known: 0.2 um of 11 um across are a degree.
    assert float(found.group(2)) == pytest.approx(true_deg, abs=2 * DEG)


def test_the_job_names_its_recordings_and_turns(seen: JobSeen) -> None:
    sweeps = seen.job["taken"]
    assert [one["step"] for one in sweeps] == [
        "end-float", "end-float", "as-found", "mounting", "mounting", "half-before", "predicted", "after-cut",
        "half-after", "as-left",
    ]  # fmt: skip
    assert all(one["recording_id"] and one["file"].endswith(".mcap") for one in sweeps)
    assert [one["to_turn"] for one in sweeps][:3] == [None, None, 2]


def test_every_page_on_the_way_fills_the_window(seen: JobSeen) -> None:
    assert seen.rows == {80}
