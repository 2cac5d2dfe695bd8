"""The tour line line by line, and the page it leaves."""

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
        for line in going.steps(made):
            if not output.as_json:
                _say(f"{line.number:>2}  {line.title}. {line.did} -> {line.said} {line.means}", indent=4)
                keys.wait_for(" ", "SPACE goes on")
    made_page = page.made_page(going.part(), page.Issue(date.today()), page.Style(unit=unit), path.suffix)
    page.write_whole(path, made_page.data)
    if output.as_json:
        steps = [
            {
                "step": line.step,
                "did": line.did,
                "file": str(folder.path / line.file),
                "said": line.said,
                "means": line.means,
                "state": line.state,
            }
            for line in going.done
        ]
        print_json({"steps": steps, "report": str(path)})
        return 0
    _say(f"Next, the same live: {NEXT}")
    # The last line names the file and nothing else.
    click.echo(f"Report: {path}")
    return 0


def _say(text: str, indent: int = 0) -> None:
    """Print one line at once; folded between words where a terminal would cut through them."""
    if sys.stdout.isatty():
        width = min(WIDEST, shutil.get_terminal_size().columns)
        text = textwrap.fill(text, width, subsequent_indent=" " * indent)
    click.echo(text)
    sys.stdout.flush()
