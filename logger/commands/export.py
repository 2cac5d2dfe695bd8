"""``fullturn export``: the decoded samples of a sweep as CSV."""

from pathlib import Path

import click

from analysis.errors import BadInput
from logger.commands.options import OutputOptions, SetupOptions, result_options, setup_options


@click.command()
@click.argument("file")
@click.option(
    "-o", "--output", "out", required=True, metavar="FILE.csv", help="Where to write; must not exist."
)
@click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1).")
@setup_options
@result_options
def command(
    file: str,
    out: str,
    seed: int,
    asked: SetupOptions,
    output: OutputOptions,
) -> int:
    """Write the samples, units in the header, the set-up above it; ``sweep`` reads it back."""
    path = Path(out)
    if path.suffix.lower() != ".csv":
        raise BadInput(f"{out} does not end in .csv: this version exports CSV; name a .csv file")
    if path.exists():
        raise BadInput(f"{out} exists already: nothing is overwritten; name another file")
    unit = output.unit
    from logger.inputs import (  # noqa: PLC0415
        load_sweep,
        write_csv,
    )

    loaded = load_sweep(file, asked.text(), seed=seed)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as opened:
            count = write_csv(loaded.capture, opened, unit)
    except OSError as error:
        raise BadInput(f"{out} cannot be written: {error.strerror}; name another file") from error
    if output.as_json:
        from logger.commands.options import print_json  # noqa: PLC0415

        print_json({"file": out, "samples": count})
    else:
        click.echo(f"{out}: {count} samples")
    return 0
