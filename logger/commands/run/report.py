"""One part on a page: its sweeps found, the page made and written, and what it is said in one object."""

from datetime import date
from pathlib import Path

import click

from analysis.errors import BadInput
from logger import page
from logger.commands.exit_status import print_json, status_of
from logger.commands.options import OutputOptions, PageOptions, SweepOptions
from logger.settings import laboratory_settings


def run(
    names: tuple[str, ...],
    out: str,
    job_number: str | None,
    before: str | None,
    after: str | None,
    lab: bool,
    lab_name: str | None,
    lab_address: str | None,
    customer: str | None,
    method: str | None,
    amends: str | None,
    reason: str | None,
    sweep_options: SweepOptions,
    page_options: PageOptions,
    output: OutputOptions,
) -> int:
    """Write the page; the exit status is that of the part as it is left."""
    path, settings = Path(out), output.settings()
    page.check_file(path)
    if bool(amends) != bool(reason):
        raise BadInput("--amends NUMBER and --reason TEXT go together: say what is replaced, and why")
    entered = laboratory_settings(settings.config_folder)
    issue = page.Issue(
        date.today(),
        laboratory=lab_name or entered.name,
        address=lab_address or entered.address,
        customer=customer or "",
        method=method or entered.method,
        amends=amends or "",
        reason=reason or "",
    )
    asked = page.PageRequest(names, before, after, job_number)
    part = page.requested_part(asked, sweep_options.setup, settings.data_folder, seed=sweep_options.seed)
    if lab:
        page.check_laboratory(part, issue)
    style = page.Style(page_options.sheet_of_paper, page_options.grey, settings.units.value, lab)
    made = page.made_page(part, issue, style, path.suffix.lower())
    page.write_whole(path, made.data)
    if output.as_json:
        print_json(
            {
                "file": out,
                "number": made.content.number,
                "sha256": made.sha256,
                "pages": made.pages,
                "state": part.state,
                "not_recorded": made.content.not_recorded,
            }
        )
    else:
        click.echo("\n".join([*(line.text for line in made.content.answers), f"Report: {out}"]))
    return status_of(part.state)
