"""Options that several commands share; each group reaches the run of a command as one value."""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import click

from analysis.errors import BadInput
from logger import acquisition, decoding, inputs, page
from logger.commands import setup_keys
from logger.commands.declaring import OptionGroup
from logger.settings import Settings, load_settings


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


@dataclass(frozen=True)
class SetupOptions:
    """The set-up as the command line gives it."""

    setup_file: str | None
    pairs: tuple[str, ...]
    limit: str | None = None
    quantity: str | None = None
    channel: int | None = None

    def text(self) -> dict[str, str]:
        """Return it text to text; raises BadInput for what is malformed."""
        given: dict[str, str] = {} if self.setup_file is None else read_setup_file(self.setup_file)
        for pair in self.pairs:
            key, equals, value = pair.partition("=")
            if not equals or not key.strip():
                raise BadInput(f"--set {pair!r} is not KEY=VALUE: write it like --set surface=bore")
            setup_keys.refuse_unknown(key.strip(), f"--set {pair}")
            given[key.strip()] = value.strip()
        if self.limit is not None:
            given["limit"] = self.limit
        refuse_empty_limit(given.get("limit"))
        if self.channel is not None:
            given["channel"] = str(self.channel)
        if self.quantity is not None:
            check_quantity(given, self.quantity)
            given["limit_quantity"] = self.quantity
        return given


@dataclass(frozen=True)
class SweepOptions:
    """What applies to every sweep that a command line of several names."""

    setup_file: str | None
    pairs: tuple[str, ...]
    seed: int

    @cached_property
    def setup(self) -> dict[str, str]:
        """What goes on top of every sweep's own set-up; raises BadInput for what is malformed."""
        return SetupOptions(self.setup_file, self.pairs).text()

    def analysed(self, names: Sequence[str]) -> "list[inputs.AnalysedSweep]":
        """Load and analyse the sweeps named, in their order. Raises BadInput, RecordingError."""
        return inputs.analysed_sweeps(names, self.setup, seed=self.seed)


@dataclass(frozen=True)
class SourceOptions:
    """What the command line says of a port or a practice bench, but for its name."""

    baud: int | None
    rate: int | None
    rig_file: str | None
    second: str | None
    seed: int
    fault: str | None

    def request(self, name: str, *, watched: bool = False) -> "acquisition.SourceRequest":
        """Return what is to be opened; ``watched``: a person looks on, who waits for a port that went away.

        Raises BadInput for a rig file that cannot be used.
        """
        return acquisition.SourceRequest(
            name,
            self.baud,
            self.rate or 0,
            decoding.read_rig(self.rig_file) if self.rig_file else None,
            self.second,
            self.seed,
            self.fault,
            patient=watched,
            watched=watched,
        )


@dataclass(frozen=True)
class PageOptions:
    """How a page is printed."""

    paper: str
    grey: bool

    @property
    def sheet_of_paper(self) -> "page.Paper":
        """The paper chosen."""
        return page.PAPERS[self.paper]


def check_quantity(setup: Mapping[str, str], quantity: str | None) -> None:
    """Refuse ``--quantity`` that contradicts what the set-up says its limit is of."""
    written = setup.get("limit_quantity")
    if quantity is not None and written and written != quantity:
        raise BadInput(
            f"--quantity {quantity} against limit_quantity {written} of the set-up: a limit is of "
            f"one quantity; "
            "correct one of the two"
        )


def with_job(setup: dict[str, str], job: str) -> dict[str, str]:
    """Return a set-up that names the job of ``--job``. Raises BadInput where it is empty or another one."""
    if not job.strip():
        raise BadInput("--job is empty: give the job's number, as --job J-88")
    if setup.get("job", job) != job:
        raise BadInput(f"--job {job} against job {setup['job']} of the set-up: correct one of the two")
    return {**setup, "job": job}


def refuse_empty_limit(written: str | None) -> None:
    """Refuse a limit that was typed and is empty: nothing would be decided, and nobody would see why."""
    if written is not None and not written.strip():
        raise BadInput("limit is empty: write it with its unit, as 0.05 mm or 3 thou, or leave it out")


def read_setup_file(path: str) -> dict[str, str]:
    """Return the keys of a set-up file."""
    try:
        with open(path, "rb") as file:
            given = {key: str(value) for key, value in tomllib.load(file).items()}
    except (ValueError, RecursionError) as error:
        raise BadInput(f"--setup {path} is no TOML: {error}; correct it") from error
    except OSError as error:
        raise BadInput(f"--setup {path}: {error.strerror}; name an existing file") from error
    for key in given:
        setup_keys.refuse_unknown(key, f"--setup {path}, {key}")
    return given


UNITS = click.Choice(["mm", "um", "in", "thou"])
SETUP_FILE = click.Option(["--setup", "setup_file"], metavar="FILE.toml", help="Set-up from a TOML file.")
KEYS_LISTED = "`fullturn settings --fields` lists the keys"
SEED = click.Option(["--seed"], type=int, default=1, help="Seed of a practice:NAME (default 1).")
FAULT = click.Option(["--fault"], metavar="NAME", help="Fault of a practice:NAME.")
BETWEEN_PARTS = (
    click.Option(
        ["--check-every"], type=click.IntRange(1, 10_000), help="With --serials: after so many parts a check."
    ),
    click.Option(["--check-part"], metavar="PART", help="Check standard that --check-every asks for."),
    click.Option(
        ["--twice-every"],
        type=click.IntRange(1, 10_000),
        help="With --serials: every so many parts one again.",
    ),
)
"""What is asked between the parts of a batch."""
BAUD = click.Option(["--baud"], type=int, help="Speed of the port (default 500000, or the rig's).")
RATE = click.Option(
    ["--rate"], type=click.IntRange(1, 65_535), help="Readings a second to ask the board for."
)
SECOND = click.Option(
    ["--second"], metavar="PORT", help="Port of the encoder, where the rig has a second one."
)
STORE = click.Option(
    ["--store"],
    metavar="URL",
    is_eager=True,  # names of sweeps may stand for what it holds
    help="Store: an SQLAlchemy URL or a path ending in .db.",
)

OUTPUT = OptionGroup(
    "output",
    OutputOptions,
    (
        click.Option(["--json", "as_json"], is_flag=True, help="Print one JSON object and nothing else."),
        click.Option(["--units"], type=UNITS, help="Unit of printed lengths."),
        STORE,
    ),
)
"""``--json``, ``--units`` and ``--store``, which every command with a result takes."""

SETUP = OptionGroup(
    "setup_options",
    SetupOptions,
    (
        SETUP_FILE,
        click.Option(
            ["--set", "pairs"],
            multiple=True,
            metavar="KEY=VALUE",
            help=f"One value of the set-up; {KEYS_LISTED}.",
        ),
        click.Option(["--limit"], help='Limit as written, with its unit: "0.05 mm", "3 thou".'),
        click.Option(["--quantity"], help="Quantity of the limit: tir, tir_first, eccentricity, form."),
        click.Option(
            ["--channel"],
            type=click.IntRange(0, 15),
            help="Channel of the board to measure with (default 0).",
        ),
    ),
)
"""``--setup``, ``--set``, ``--limit``, ``--quantity`` and ``--channel`` of one sweep."""

SWEEPS = OptionGroup(
    "sweep_options",
    SweepOptions,
    (
        SETUP_FILE,
        click.Option(
            ["--set", "pairs"],
            multiple=True,
            metavar="KEY=VALUE",
            help=f"One value of every set-up; {KEYS_LISTED}.",
        ),
        SEED,
    ),
)
"""``--setup``, ``--set`` and ``--seed``, which apply to every sweep named."""

PAGE = OptionGroup(
    "page_options",
    PageOptions,
    (
        click.Option(
            ["--paper"], type=click.Choice(["a4", "letter"]), default="a4", help="Paper (default a4)."
        ),
        click.Option(["--grey"], is_flag=True, help="For a printer without colours."),
    ),
)
"""``--paper`` and ``--grey`` of whatever is made to be printed."""
