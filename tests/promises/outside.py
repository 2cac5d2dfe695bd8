"""The program as a person meets it: commands run in this process in an empty home, each once."""

import contextlib
import io
import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import click
from mcap.records import Channel, Header, Message, Metadata
from mcap.stream_reader import StreamReader
from places import RECORDINGS

from logger.__main__ import run
from logger.commands import cli

FREE = ("setup",)
"""Keys of results whose value is a person's own text to text: what stands under them is no promise of ours."""

Tree = dict[str, Any]


def recording(name: str) -> str:
    """Return the path of a kept recording."""
    return str(RECORDINGS / name / "recording.mcap")


FOUND, LEFT = recording("wind-pump-as-found"), recording("wind-pump-as-left")
MOUNT, HALF_BEFORE = recording("wind-pump-mount-2"), recording("wind-pump-half-turn-before")
WITH_MARKS, WITH_END_FLOAT = "with-marks.mcap", "with-end-float.mcap"
"""Recordings that the tests make in the home: what only a person at the bench adds."""

STORED = "stored.db"
"""A store with turns in it, put into the home."""

MOVED_ABOUT, CHECKED = "moved-about.db", "checked.db"
"""A store whose recordings were moved, altered, removed or never finished, put into the home."""

EXPORTED = "exported.csv"
"""A recording exported: what is read back tells of the recording."""

RESULTS: Mapping[str, Sequence[Sequence[str]]] = {
    "sweep": (
        (FOUND, "--form", "--leave-out", "200:210=chip"),
        (recording("wind-pump-as-found-nick"),),
        (recording("wind-pump-as-found-unplug"),),
        ("practice:turntable/two-tips", "--opposed", "1"),
        ("--typed", "0:0 90:+3 180:-2 270:+3 thou"),
        (WITH_END_FLOAT, "--set", "gauge_register=DI-07: agrees"),
        (EXPORTED,),
    ),
    "sweep of several": (
        ("practice:long-roller/near", "practice:long-roller/far", "--plane", "300 mm"),
        (FOUND, LEFT),
        tuple(f"practice:check-rig/{name}" for name in ("slow-on", "slow-back", "fast-on", "again")),
    ),
    "compare": ((FOUND, LEFT), (FOUND, "practice:potters-wheel/as-found")),
    "separate": ((MOUNT, HALF_BEFORE), (recording("wind-pump-half-turn-after"), "--cut-at", "0")),
    "plan-cut": (
        ("--bearings", FOUND, "--mounting", MOUNT, "--limit", "0.05 mm", "--minimum", "10 mm", "--stock", "12 mm",
         "--pass-depth", "0.1 mm", "--allowance", "0.02 mm"),
        ("--bearings", FOUND, "--mounting", MOUNT, "--limit", "0.05 mm", "--minimum", "12 mm", "--stock", "12 mm"),
    ),
    "best-hole": (("practice:bicycle-disc/hub", "practice:bicycle-disc/disc", "--holes", "6"),),
    "adjust": ((FOUND, "--screws", "0,120,240", "--screw-radius", "60 mm"),),
    "backlash": (("0:0.13 90:0.15 180:0.12 270:0.13 mm", "--sweep", FOUND, "--factor", "2"),),
    "thickness": (("practice:bicycle-disc/two-tips",), ("--typed", "0:9.98 90:9.97 180:9.98 270:9.99 mm")),
    "endfloat": (
        (recording("wind-pump-end-float"), "--limit", "0.05 mm"),
        (recording("wind-pump-end-float"), "--limit", "0.05 mm", "--quantity", "end_float"),
    ),
    "torque": (("6", "--steps", "20,40 Nm"),),
    "learn-encoder": ((WITH_MARKS,),),
    "learn-lag": (tuple(f"practice:check-rig/{name}" for name in ("fast-on", "fast-back", "slow-on")),),
    "check-file": ((recording("wind-pump-as-found-unplug"),),),
    "export": ((FOUND, "-o", "promised.csv"),),
    "ports": ((),),
    "settings": ((), ("--fields",)),
    "record": (("practice:wind-pump/as-found", "--turns", "5", "--seed", "3", "--store", "promised.db"),),
    "history": (("--store", STORED),),
    "history by recording": (("--by", "recording", "--store", STORED),),
    "history by part": (("--by", "part", "--store", STORED),),
    "history in time": (("bull-gear flange", "--trend", "--stage", "as-found", "--store", MOVED_ABOUT),),
    "history again": (("--again", "all", "--store", MOVED_ABOUT),),
    "history of checks": (("check ring", "--chart", "--store", CHECKED),),
    "history in doubt": (("--suspect", "--store", CHECKED),),
    "store": (("add", FOUND, "--store", "promised-added.db"),),
    "tour": (("-o", "promised-tour"),),
    "report": ((FOUND, LEFT, "-o", "promised.html"),),
    "sheet": (("-o", "promised-sheet.html"),),
    "store status": (("status", "--store", "promised-added.db"),),
    "store check": (("check", "--store", MOVED_ABOUT),),
    "store find": (("find", "moved", "--store", MOVED_ABOUT),),
    "store backup": (("backup", "promised-copy.db", "--store", "promised-added.db"),),
    "gauge add": (("add", "DI-07", "--error", "0.003 mm", "--store", "promised-register.db"),),
    "gauge list": (("list", "--store", "promised-register.db"),),
    "gauge show": (("show", "DI-07", "--store", "promised-register.db"),),
    "part add": (("add", "hub", "--store", "promised-register.db"),),
    "part list": (("list", "--store", "promised-register.db"),),
    "part show": (("show", "bull-gear flange", "--store", STORED),),
    "job add": (("add", "4711", "--store", "promised-register.db"),),
    "job list": (("list", "--store", "promised-register.db"),),
    "job show": (("show", "wind-pump gearbox, demo", "--store", STORED),),
    "record of a batch": (
        ("practice:wind-pump/as-left", "--turns", "1", "--job", "J-88", "--serials", "A-1,A-2", "--fault", "tip-off@4",
         "--check-every", "1", "--check-part", "check ring", "--twice-every", "1", "--store", "promised-batch.db"),
    ),
    "report of a batch": (
        ("--batch", FOUND, LEFT, "-o", "promised-batch.html"),
        ("--batch", "--job", "J-88", "-o", "promised-batch-of-job.html", "--store", "promised-batch.db"),
    ),
}  # fmt: skip
"""Runs of every command that has ``--json``, chosen so that no list in their results stays empty."""


class Program:
    """The program in one home; the same command line is run once."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self._ran: dict[tuple[str, ...], tuple[int, str, str]] = {}

    def run(self, *arguments: str) -> tuple[int, str, str]:
        """Return exit status, standard output and standard error."""
        if arguments not in self._ran:
            out, err = io.StringIO(), io.StringIO()
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
                status = run(list(arguments))
            self._ran[arguments] = status, out.getvalue(), err.getvalue()
        return self._ran[arguments]

    def objects(self, command: str) -> list[Any]:
        """Return the JSON objects that the runs of a command print."""
        name = command.partition(" ")[0]
        return [json.loads(self.run(name, *more, "--json")[1]) for more in RESULTS[command]]

    def refusal(self, *arguments: str) -> str:
        """Return the line with which a command ends 2."""
        status, out, err = self.run(*arguments)
        assert (status, out) == (2, ""), (status, out, err)
        return err


def paths_of(*results: Any) -> list[str]:
    """Return the key paths of results in their order; ``[]`` stands for every entry of a list."""
    tree: Tree = {}
    for result in results:
        _grow(tree, result)
    return list(_walk(tree, ""))


def _grow(tree: Tree, value: Any) -> None:
    if isinstance(value, dict):
        for key, one in value.items():
            branch = tree.setdefault(key, {})
            if key not in FREE:
                _grow(branch, one)
    elif isinstance(value, list):
        for one in value:
            if isinstance(one, dict):
                _grow(tree.setdefault("[]", {}), one)


def _walk(tree: Tree, before: str) -> Iterator[str]:
    for key, branch in tree.items():
        path = f"{before}{key}" if key == "[]" or not before else f"{before}.{key}"
        if key != "[]":
            yield path
        yield from _walk(branch, path)


def commands() -> Iterator[str]:
    """Yield every command with its options, and the words of options whose words are a list."""
    with cli.make_context("fullturn", [], resilient_parsing=True) as context:
        yield from _options("fullturn", cli)
        for name in cli.list_commands(context):
            command = cli.get_command(context, name)
            assert command is not None
            yield name
            yield from _options(name, command)
            for word, one in getattr(command, "commands", {}).items():
                yield f"{name} {word}"
                yield from _options(f"{name} {word}", one)


def _options(name: str, command: click.Command) -> Iterator[str]:
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            for option in parameter.opts:
                yield f"{name} {option}"
                if isinstance(parameter.type, click.Choice):
                    yield from (f"{name} {option} {word}" for word in parameter.type.choices)


def tables_of(store: Path) -> Iterator[str]:
    """Yield every column of every table of a store."""
    with closing(sqlite3.connect(store)) as database:
        names = (
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
        )
        for (table,) in database.execute(names).fetchall():
            for column in database.execute(f"PRAGMA table_info({table})"):
                yield f"{table}.{column[1]}"


def rows_of(store: Path) -> dict[str, list[Any]]:
    """Return every row of every table of a store."""
    names = list(dict.fromkeys(line.partition(".")[0] for line in tables_of(store)))
    with closing(sqlite3.connect(store)) as database:
        return {name: database.execute(f"SELECT * FROM {name}").fetchall() for name in names}


def records_of(path: Path) -> list[Any]:
    """Return the records of a recording as the container's own library reads them."""
    with path.open("rb") as file:
        return list(StreamReader(file).records)


def messages_of(path: Path) -> list[tuple[str, int, int, bytes]]:
    """Return topic, both times and data of every message of a recording, in order."""
    records = records_of(path)
    topics = {one.id: one.topic for one in records if isinstance(one, Channel)}
    return [
        (topics[one.channel_id], one.log_time, one.publish_time, one.data)
        for one in records
        if isinstance(one, Message)
    ]


def metadata_of(path: Path) -> list[tuple[str, dict[str, str]]]:
    """Return name and text of every metadata record of a recording, in order."""
    return [(one.name, dict(one.metadata)) for one in records_of(path) if isinstance(one, Metadata)]


def layout_of(path: Path) -> Iterator[str]:
    """Yield what a recording is made of: profile, metadata and its keys, topics and their encodings."""
    for record in records_of(path):
        if isinstance(record, Header):
            yield f"profile: {record.profile}"
            yield f"library ends: {record.library[record.library.index('(') :]}"
        elif isinstance(record, Metadata):
            # Keys of a set-up are a list of their own.
            keys = [key for key in record.metadata if record.name != "setup" or key == "crc32"]
            yield from (f"metadata {record.name}: {key}" for key in keys)
            if record.name == "origin":
                yield f"format: {record.metadata['format']}"
        elif isinstance(record, Channel):
            yield f"topic {record.topic}: {record.message_encoding}"
            yield from (f"channel metadata: {key} = {value}" for key, value in record.metadata.items())
