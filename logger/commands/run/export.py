"""The samples of one sweep written as CSV, JSON or Parquet."""

from pathlib import Path

import click

from analysis.errors import BadInput
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions, SetupOptions
from logger.inputs import (
    beside_csv,
    format_of,
    from_recording,
    load_opposed,
    load_sweep,
    table_of,
    write_notebook,
    write_sample_file,
)
from logger.practice import PRACTICE


def run(
    file: str,
    out: str,
    form: str | None,
    plain: bool,
    opposed: int | None,
    seed: int,
    setup_options: SetupOptions,
    output: OutputOptions,
) -> int:
    """Write the file and print how many samples it holds."""
    path = Path(out)
    form = format_of(path, form)
    if plain and not form.startswith("csv"):
        raise BadInput(f"--plain goes with a CSV, {out} is to be {form}: leave it out")
    for each in (path, *([beside_csv(path)] if plain else [])):
        if each.exists():
            raise BadInput(f"{each} exists already: nothing is overwritten; name another file")
    unit, setup = output.unit, setup_options.text()
    loaded = load_sweep(file, setup, seed=seed)
    far = None if opposed is None else load_opposed(file, setup, opposed, loaded.capture, seed=seed).capture
    table = table_of(loaded.capture, from_recording(loaded.capture, loaded.origin), far)
    try:
        if form == "notebook":
            with path.open("x", encoding="utf-8", newline="\n") as notebook:
                write_notebook(
                    notebook, _reached(file), setup, loaded.capture.setup.limit, loaded.origin.sha256
                )
        else:
            write_sample_file(path, table, form, unit, plain=plain)
    except OSError as error:
        raise BadInput(f"{out} cannot be written: {error.strerror}; name another file") from error
    count = len(table)
    if output.as_json:
        print_json({"file": out, "samples": count})
    else:
        click.echo(f"{out}: {count} samples")
    return 0


def _reached(file: str) -> str:
    """Return the name by which a notebook finds it from whatever folder it runs in."""
    return file if file.startswith(PRACTICE) else str(Path(file).resolve())
