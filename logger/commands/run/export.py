"""The samples of one sweep written as CSV."""

from pathlib import Path

import click

from analysis.errors import BadInput
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions, SetupOptions
from logger.inputs import from_recording, load_sweep, write_csv


def run(file: str, out: str, seed: int, setup_options: SetupOptions, output: OutputOptions) -> int:
    """Write the file and print how many samples it holds."""
    path = Path(out)
    if path.suffix.lower() != ".csv":
        raise BadInput(f"{out} does not end in .csv: this version exports CSV; name a .csv file")
    if path.exists():
        raise BadInput(f"{out} exists already: nothing is overwritten; name another file")
    unit = output.unit
    loaded = load_sweep(file, setup_options.text(), seed=seed)
    source = from_recording(file, loaded)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as opened:
            count = write_csv(loaded.capture, opened, unit, source)
    except OSError as error:
        raise BadInput(f"{out} cannot be written: {error.strerror}; name another file") from error
    if output.as_json:
        print_json({"file": out, "samples": count})
    else:
        click.echo(f"{out}: {count} samples")
    return 0
