"""An empty sheet made and written."""

from pathlib import Path

import click

from analysis.units import parse_length
from logger import page
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions, PageOptions


def run(
    out: str,
    places: str,
    part: str | None,
    limit: str | None,
    page_options: PageOptions,
    output: OutputOptions,
) -> int:
    """Write the sheet."""
    path = Path(out)
    page.check_file(path)
    if limit is not None:
        parse_length(limit, "limit")
    style = page.Style(page_options.sheet_of_paper, page_options.grey)
    page.write_whole(path, page.made_sheet(int(places), style, path.suffix.lower(), part or "", limit or ""))
    if output.as_json:
        print_json({"file": out, "places": int(places)})
    else:
        click.echo(f"Sheet with {places} places: {out}")
    return 0
