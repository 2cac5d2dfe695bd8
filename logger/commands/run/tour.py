"""The tour told line by line, and the page it leaves."""

import shutil
import sys
import textwrap
from datetime import date
from pathlib import Path

import click

from logger import page, tour
from logger.commands.exit_status import print_json
from logger.commands.keypress import Keys
from logger.commands.options import OutputOptions

PAGE_NAME = "report.html"
NEXT = "fullturn watch practice:wind-pump"
WIDEST = 110


def run(out: str, by_step: bool, output: OutputOptions) -> int:
    """Tell the tour, write its page, say what to type next."""
    unit = output.unit
    folder = tour.prepared(Path(out))
    path, names = folder.path / PAGE_NAME, [PAGE_NAME]

    def made(name: str) -> None:
        names.append(name)
        folder.own(names)

    going = tour.Tour(folder.path, unit)
    if not output.as_json:
        _say(tour.TITLE)
    with Keys(enabled=by_step and not output.as_json) as keys:
        for told in going.steps(made):
            if not output.as_json:
                _say(f"{told.number:>2}  {told.title}. {told.did} -> {told.said} {told.means}", indent=4)
                keys.wait_for(" ", "SPACE goes on")
    made_page = page.made_page(going.part(), page.Issue(date.today()), page.Style(unit=unit), path.suffix)
    page.write_whole(path, made_page.data)
    if output.as_json:
        steps = [
            {
                "step": told.step,
                "did": told.did,
                "file": str(folder.path / told.file),
                "said": told.said,
                "means": told.means,
                "state": told.state,
            }
            for told in going.told
        ]
        print_json({"steps": steps, "report": str(path)})
        return 0
    _say(f"Next, the same live: {NEXT}")
    # The last line names the file and nothing else.
    click.echo(f"Report: {path}")
    return 0


def _say(line: str, indent: int = 0) -> None:
    """Print one line at once; folded between words where a terminal would cut through them."""
    if sys.stdout.isatty():
        width = min(WIDEST, shutil.get_terminal_size().columns)
        line = textwrap.fill(line, width, subsequent_indent=" " * indent)
    click.echo(line)
    sys.stdout.flush()
