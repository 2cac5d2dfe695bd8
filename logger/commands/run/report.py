"""One part on a page: its sweeps found, the page made and written, and what it is said in one object."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path

import click

from analysis import store
from analysis.errors import BadInput
from analysis.setup import Stage
from logger import page
from logger.commands.exit_status import print_json, status_of
from logger.commands.options import OutputOptions, PageOptions, SweepOptions
from logger.commands.run.chosen_store import is_yet_to_be_made
from logger.settings import Settings, laboratory_settings


def run(
    names: tuple[str, ...],
    out: tuple[str, ...],
    batch: bool,
    labels: str | None,
    label_grid: str,
    sampling: str | None,
    job_number: str | None,
    serial: str | None,
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
    paths, settings = [Path(one) for one in out], output.settings()
    if batch:
        if len(paths) > 1:
            raise BadInput("--batch writes one file: give one -o")
        if before or after or lab:
            raise BadInput("--batch goes with files, folders or --job: leave --before, --after and --lab out")
        return _batch(
            names, paths[0], labels, label_grid, sampling, job_number, sweep_options, page_options, output
        )
    if labels or sampling:
        raise BadInput("--labels and --sampling go with --batch: add it, or leave them out")
    forms, readings = _asked_files(paths, lab)
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
    with _store_if_any(settings) as opened:
        stored: Mapping[Stage, page.StoredPlace] = {}
        if page.names_a_part(names) and not after and opened is not None:
            stored = page.newest_stored(opened, names[0], serial=serial, job=job_number)
        asked = page.PageRequest(names, before, after, job_number, serial, stored)
        part = page.requested_part(asked, sweep_options.setup, settings.data_folder, seed=sweep_options.seed)
        page.refuse_altered(part.sweeps, opened)
        part = replace(part, entered=page.registered(part.after, opened))
        if opened is not None and not part.practice:
            issue = replace(issue, number=opened.issued.next_number(issue.issued.year))
        if lab:
            page.check_laboratory(part, issue)
        style = page.Style(page_options.sheet_of_paper, page_options.grey, settings.units.value, lab)
        files = page.readings_files(part, readings) if readings else []
        for one in files:
            page.check_file(one.path, (".csv",))
        kinds = [form.suffix.lower() for form in forms]
        every = page.made_pages(part, issue, style, kinds, files)
        made, written = every[0], dict(zip(forms, every, strict=True))
        whole = {one.path: one.data for one in files} | {form: one.data for form, one in written.items()}
        if opened is not None and issue.number:
            opened.issued.add(_record(written, part, issue, lab), lambda: page.write_all(whole))
        else:
            page.write_all(whole)
    if output.as_json:
        print_json(
            {
                "file": out[paths.index(forms[0])],
                "number": made.content.number,
                "sha256": made.sha256,
                "pages": made.pages,
                "state": part.state,
                "not_recorded": made.content.not_recorded,
                "files": [
                    *({"file": str(form), "sha256": one.sha256} for form, one in written.items()),
                    *({"file": str(one.path), "sha256": one.sha256} for one in files),
                ],
            }
        )
    else:
        lines = [line.text for line in made.content.answers]
        lines += [f"Report: {form}" for form in forms] + [f"Readings: {one.path}" for one in files]
        click.echo("\n".join(lines))
    return status_of(part.state)


def _asked_files(paths: Sequence[Path], lab: bool) -> tuple[list[Path], Path | None]:
    """Return the page's files and that of the readings, none of which is there yet."""
    tables = [path for path in paths if path.suffix.lower() == ".csv"]
    forms = [path for path in paths if path not in tables]
    if tables and not lab:
        raise BadInput(f"{tables[0]}: readings go with --lab; add it, or write them with `fullturn export`")
    if len(tables) > 1 or len({path.absolute() for path in paths}) < len(paths):
        raise BadInput("found -o twice for one file: name each file once, and one .csv at most")
    if not forms:
        raise BadInput(f"{tables[0]} is the annex of a page: name a page too, with -o NAME.html or .pdf")
    for form in forms:
        page.check_file(form)
    return forms, tables[0] if tables else None


def _record(
    written: "Mapping[Path, page.Made]", part: page.MeasuredPart, issue: page.Issue, lab: bool
) -> "store.IssuedRecord":
    (path, made), *others = written.items()
    return store.IssuedRecord(
        number=issue.number,
        kind="lab" if lab else "page",
        issued=issue.issued.isoformat(),
        contents=[(one.origin.recording_id or "", one.origin.sha256 or "") for one in part.sweeps],
        file=str(path.resolve()),
        sha256=made.sha256,
        other_forms=[(str(other.resolve()), one.sha256) for other, one in others],
        amends=issue.amends or None,
        reason=issue.reason or None,
    )


@contextmanager
def _store_if_any(settings: Settings) -> Iterator["store.Store | None"]:
    """Open the store in force; None where there is none yet: looking makes none."""
    if is_yet_to_be_made(settings):
        yield None
        return
    with store.open_store(settings.store.value) as opened:
        yield opened


def _batch(
    names: tuple[str, ...],
    path: Path,
    labels: str | None,
    label_grid: str,
    sampling: str | None,
    job_number: str | None,
    sweep_options: SweepOptions,
    page_options: PageOptions,
    output: OutputOptions,
) -> int:
    """Write the pages of many parts, and their labels."""
    settings, grid = output.settings(), _grid(label_grid)
    page.check_file(path, (".html", ".pdf", ".csv"))
    if labels is not None:
        page.check_file(Path(labels))
    found = page.requested_sweeps(
        names,
        sweep_options.setup,
        settings.data_folder,
        job_number=job_number,
        seed=sweep_options.seed,
        where=settings.store.value,
    )
    with _store_if_any(settings) as opened:
        page.refuse_altered(found.counted, opened)
    made = page.batch_of(found.counted, found.left_out, found.beside)
    style = page.Style(page_options.sheet_of_paper, page_options.grey, settings.units.value)
    data, _ = page.made_batch(made, style, path.suffix.lower(), sampling or "")
    page.write_whole(path, data)
    if labels is not None:
        page.write_whole(Path(labels), page.made_labels(made, style, Path(labels).suffix.lower(), grid))
    for line in made.left_out:
        click.echo(f"not counted: {line}", err=True)
    counts = page.batch_as_json(made)
    if output.as_json:
        print_json(counts)
    else:
        click.echo(
            f"{counts['parts']} parts: {counts['within']} within, {counts['over']} over, "
            f"{counts['undecided']} not decided, {counts['refused']} refused.\nReport: {path}"
            + (f"\nLabels: {labels}" if labels is not None else "")
        )
    return status_of(made.status_state)


def _grid(text: str) -> tuple[int, int]:
    across, _, down = text.lower().partition("x")
    if not (across.isdecimal() and down.isdecimal() and 0 < int(across) <= 6 and 0 < int(down) <= 20):
        raise BadInput(f"--label-grid {text!r} is not ACROSSxDOWN, at most 6x20: write it like 3x8")
    return int(across), int(down)
