"""Steps in a terminal of its own, with its threads: a sweep taken, the window closed, and opened again."""

import re
import shutil
from pathlib import Path

import pytest
from terminals import Terminal

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="needs tmux as the terminal")


def opened(folder: Path) -> Terminal:
    window = Terminal(folder, "watch", "practice:wind-pump")
    window.wait(lambda text: "the indicator shows" in text, "a reading")
    window.press("3")
    return window


def test_a_job_left_in_the_middle_stands_there_when_it_is_opened_again(tmp_path: Path) -> None:
    window = opened(tmp_path)
    try:
        window.wait(lambda text: "Lift locked on its latches" in text, "the first caution")
        window.press("Space")
        window.wait(lambda text: "asbestos" in text, "the second")
        window.press("NPage")
        window.wait(lambda text: "SPACE ready, begin" in text, "what to do")
        window.press("Enter")
        window.wait(lambda text: "SPACE take it" in text, "three pushes and pulls")
        window.press("NPage")
        window.wait(lambda text: "End float 0.210 mm" in text, "the result")
        assert window.end() == 0
    finally:
        window.close()
    again = opened(tmp_path)
    try:
        text = again.wait(lambda text: "Step 1 of 10" in text, "the same step")
        assert re.search(r"1 end float +0\.2100 refused", text)
        again.wait(lambda text: "End float 0.210 mm" in text, "the result, read again")
        assert again.end() == 0
    finally:
        again.close()
