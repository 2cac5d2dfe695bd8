"""A batch in the window itself: what a scanner types goes to the line, and SPACE begins the part."""

from pathlib import Path

import pytest
from screens import ShownWindow, practice_seat, run_window
from textual.pilot import Pilot

from logger.live.batch.batch_guide import BatchPhase

pytestmark = pytest.mark.slow  # a bench, a worker and a window a case
SETUP = {"job": "J-88", "turns_planned": "1"}


def test_a_scanned_line_a_pedal_and_the_verdict(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, "wind-pump/as-left", override=SETUP, planned=("Q-1", "Q-2"))

    async def play(window: ShownWindow, pilot: Pilot[None]) -> None:
        batch = seat.console.batch

        async def look(seconds: float = 0.1) -> str:
            seat.go(seconds)
            window.frame()
            await pilot.pause()
            return "\n".join(window.text())

        await look(0.5)
        seat.clock.now_s += 1.0
        await pilot.press("7")
        await look(0.3)
        assert "Put Q-1 on" in await look()
        await pilot.press("Q", "minus", "2", "enter", "enter")
        assert "Q-2: SPACE begins" in await look()
        assert not seat.console.over
        seat.clock.now_s += 1.0
        await pilot.press("pagedown")
        assert "Q-2 is being measured" in await look()
        for _ in range(200):
            text = await look(0.1)
            if batch.phase is not BatchPhase.TURNING:
                break
        text = await look(0.3)
        assert "Q-2: TIR 0.0" in text
        assert "Put Q-1 on" in text
        for _ in range(2):
            assert not seat.console.over
            seat.clock.now_s += 1.0
            await pilot.press("ctrl+c")
            text = await look()
        assert "Q again ends. 2 parts are left" in text or "Q again ends. 1 part is left" in text
        await look(0.3)
        assert seat.console.over

    run_window(seat, play)
    seat.close()
