"""Links between the pages of the project lead somewhere: to a file that is kept, and to a heading in it."""

import re
import subprocess
from pathlib import Path

import pytest
from places import ROOT

PAGES = sorted(
    name
    for name in subprocess.run(
        ["git", "-C", str(ROOT), "ls-files", "-z", "*.md"], capture_output=True, text=True, check=True
    ).stdout.split("\0")
    if name
)


def headings(page: Path) -> set[str]:
    """Return what a heading is reached by: lower case, without signs, spaces as hyphens."""
    found = re.findall(r"^#+ (.*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", each.lower()).replace(" ", "-") for each in found}


@pytest.mark.parametrize("name", PAGES)
def test_every_link_leads_somewhere(name: str) -> None:
    page = ROOT / name
    text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    broken = []
    for link in re.findall(r"\]\(([^)\s]+)\)", text):
        file, _, heading = link.partition("#")
        target = (page.parent / file).resolve() if file else page
        if not target.exists() or (heading and heading not in headings(target)):
            broken.append(link)
    assert broken == []


def test_pages_were_looked_at() -> None:
    assert {"README.md", "DEVELOPERS.md"} <= set(PAGES)
