"""What several commands share: options, set-ups from the command line, printing, the worst status of many."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from typing import Any

import click

from analysis.errors import BadInput, FullturnError
from logger.settings import Settings, load_settings

STATUS_OF_STATE = {"within": 0, "over": 1, "undecided": 3}
WORST_FIRST = (2, 4, 5, 1, 3, 0)

Function = Callable[..., Any]


@dataclass(frozen=True)
class OutputOptions:
    """What the command line asks of a printed result."""

    as_json: bool
    units: str | None
    store: str | None

    def settings(self) -> Settings:
        """Return the settings in force, those of the command line first."""
        return load_settings(store=self.store, units=self.units)

    @property
    def unit(self) -> str:
        """Unit of printed lengths."""
        return self.settings().units.value


def result_options(function: Function) -> Function:
    """Add ``--json``, ``--units`` and ``--store``, which every command with a result takes, as ``output``."""

    @wraps(function)
    def packed(*args: Any, as_json: bool, units: str | None, store: str | None, **others: Any) -> Any:
        return function(*args, output=OutputOptions(as_json, units, store), **others)

    for option in (
        click.option("--store", metavar="URL", help="Store: an SQLAlchemy URL or a path ending in .db."),
        click.option(
            "--units", type=click.Choice(["mm", "um", "in", "thou"]), help="Unit of printed lengths."
        ),
        click.option("--json", "as_json", is_flag=True, help="Print one JSON object and nothing else."),
    ):
        option(packed)
    return packed


@dataclass(frozen=True)
class SetupOptions:
    """The set-up as the command line gives it."""

    file: str | None
    pairs: tuple[str, ...]
    limit: str | None = None
    quantity: str | None = None
    channel: int | None = None

    def text(self) -> dict[str, str]:
        """Return it text to text; raises BadInput for what is malformed."""
        given: dict[str, str] = {} if self.file is None else read_setup_file(self.file)
        for pair in self.pairs:
            key, equals, value = pair.partition("=")
            if not equals or not key.strip():
                raise BadInput(f"--set {pair!r} is not KEY=VALUE: write it like --set surface=bore")
            given[key.strip()] = value.strip()
        if self.limit is not None:
            given["limit"] = self.limit
        if self.channel is not None:
            given["channel"] = str(self.channel)
        if self.quantity is not None:
            check_quantity(given, self.quantity)
            given["limit_quantity"] = self.quantity
        return given


def setup_options(function: Function) -> Function:
    """Add ``--setup``, ``--set``, ``--limit``, ``--quantity`` and ``--channel`` as ``asked``."""

    @wraps(function)
    def packed(
        *args: Any,
        setup_file: str | None,
        pairs: tuple[str, ...],
        limit: str | None,
        quantity: str | None,
        channel: int | None,
        **others: Any,
    ) -> Any:
        asked = SetupOptions(setup_file, pairs, limit, quantity, channel)
        return function(*args, asked=asked, **others)

    for option in (
        click.option(
            "--channel", type=click.IntRange(0, 15), help="Channel of the board to measure with (default 0)."
        ),
        click.option("--quantity", help="Quantity of the limit: tir, tir_first, eccentricity, form."),
        click.option("--limit", help='Limit as written, with its unit: "0.05 mm", "3 thou".'),
        click.option("--set", "pairs", multiple=True, metavar="KEY=VALUE", help="One value of the set-up."),
        click.option("--setup", "setup_file", metavar="FILE.toml", help="Set-up from a TOML file."),
    ):
        option(packed)
    return packed


def check_quantity(setup: Mapping[str, str], quantity: str | None) -> None:
    """Refuse ``--quantity`` that contradicts what the set-up says its limit is of."""
    written = setup.get("limit_quantity")
    if quantity is not None and written and written != quantity:
        raise BadInput(
            f"--quantity {quantity} against limit_quantity {written} of the set-up: a limit is of "
            f"one quantity; "
            "correct one of the two"
        )


def read_setup_file(path: str) -> dict[str, str]:
    """Return the keys of a set-up file."""
    import tomllib  # noqa: PLC0415

    try:
        with open(path, "rb") as file:
            return {key: str(value) for key, value in tomllib.load(file).items()}
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadInput(f"--setup {path} is no TOML: {error}; correct it") from error
    except OSError as error:
        raise BadInput(f"--setup {path}: {error.strerror}; name an existing file") from error


def with_recording_path(error: FullturnError, path: Path) -> FullturnError:
    """Return the error with the name of the recording that it has left, which some name themselves."""
    told = str(error)
    return type(error)(told if str(path) in told else f"{told}; what came is kept in {path}")


def worst_status(statuses: Sequence[int]) -> int:
    """Return the status that stands for several: 2, 4, 5, 1, 3, 0 in this order."""
    return next(status for status in WORST_FIRST if status in (*statuses, 0))


def print_json(value: Any) -> None:
    """Print one JSON object; a not-a-number is a fault of the program and raises."""
    click.echo(json.dumps(value, allow_nan=False, ensure_ascii=False))


def status_of(state: str | None) -> int:
    """Return the exit status of a decision's state; None = no limit was given."""
    return 0 if state is None else STATUS_OF_STATE[state]
