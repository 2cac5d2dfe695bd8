"""Every line of README's section about owners, typed as it stands: it ends as the page says."""

import contextlib
import io
import re
import shlex

import pytest
from places import ROOT

from logger.__main__ import run as fullturn

README = ROOT / "README.md"
SECTION = "## Whose error is it, by commands"


def lines() -> list[tuple[str, int]]:
    """Return each command line of the section and the status behind its #."""
    section = README.read_text(encoding="utf-8").split(SECTION)[1].split("\n## ")[0]
    blocks = re.findall(r"```sh\n(.*?)```", section, flags=re.DOTALL)
    found = [line.split("  # ") for block in blocks for line in block.splitlines()]
    return [(command, int(said.split(":")[0])) for command, said in found]


@pytest.mark.parametrize(("line", "status"), lines())
def test_it_ends_as_the_page_says_and_answers_in_its_first_line(line: str, status: int) -> None:
    program, *arguments = shlex.split(line)
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        found = fullturn(arguments)
    assert (program, found, err.getvalue()) == ("fullturn", status, "")
    assert len(out.getvalue().splitlines()[0]) > 20


def test_the_section_has_its_lines() -> None:
    assert len(lines()) > 15
