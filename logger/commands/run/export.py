"""The samples of one sweep written as CSV, JSON or Parquet."""

from pathlib import Path

import click

from analysis.errors import BadInput
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions, SetupOptions
from logger.inputs import format_of, from_recording, load_sweep, table_of, write_sample_file


def run(
    file: str, out: str, form: str | None, seed: int, setup_options: SetupOptions, output: OutputOptions
) -> int:
    """Write the file and print how many samples it holds."""
    path = Path(out)
    form = format_of(path, form)
    if path.exists():
        raise BadInput(f"{out} exists already: nothing is overwritten; name another file")
    unit = output.unit
    loaded = load_sweep(file, setup_options.text(), seed=seed)
    table = table_of(loaded.capture, from_recording(file, loaded))
    try:
        write_sample_file(path, table, form, unit)
    except OSError as error:
        raise BadInput(f"{out} cannot be written: {error.strerror}; name another file") from error
    count = len(table)
    if output.as_json:
        print_json({"file": out, "samples": count})
    else:
        click.echo(f"{out}: {count} samples")
    return 0
