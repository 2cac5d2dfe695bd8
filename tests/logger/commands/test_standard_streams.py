"""Standard streams whose other end is gone."""

import os
import pty
import subprocess
import sys

import pytest
from places import ROOT

WRITE_ON = """
import sys
from logger.commands.standard_streams import guard_standard_streams
guard_standard_streams()
sys.stdin.read()
for _ in range(100):
    print("a line", file={stream}, flush=True)
"""


@pytest.mark.parametrize("stream", ["sys.stderr", "sys.__stderr__"])
def test_writing_to_a_terminal_that_was_closed_goes_on_and_raises_nothing(stream: str) -> None:
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-c", WRITE_ON.format(stream=stream)], cwd=ROOT, stdin=subprocess.PIPE, stderr=theirs
    )
    os.close(theirs)
    os.close(ours)
    process.communicate()
    assert process.returncode == 0
