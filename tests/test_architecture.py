"""The house is built as drawn: every module has a room, and a room imports only what stands above it.

The drawing is the table in DEVELOPERS.md under "Rooms and import order"; there is no other copy. A row is
a module or a package with all that is in it, except `analysis` and `logger`, which are only the faces of
the two packages. `above` = every room higher up in the table, `analysis.*` = those of them that lie in
analysis; what is in one room may import from the same room.
"""

import ast
import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DOCUMENT = ROOT / "DEVELOPERS.md"
HEADING = "## Rooms and import order"


FACES = ("analysis", "logger")

IMPORTERS = {
    "serial": ("logger.sources.port",),
    "mcap": ("logger.recording",),
    "sqlalchemy": ("analysis.store",),
    "alembic": ("analysis.store",),
    "textual": ("logger.screen",),
    "pint": ("analysis.units",),
    "click": ("logger.commands", "logger.__main__"),
    "jinja2": ("logger.page.html_page",),
    "markupsafe": ("logger.page.html_page",),
    "reportlab": ("logger.page.pdf_page", "logger.page.pdf_parts"),
    "pyarrow": ("logger.inputs.parquet_file",),
    "matplotlib": ("analysis.plots",),
    "pandas": (),
    "polars": (),
    "threading": (
        "logger.acquisition",
        "logger.commands.end_signals",
        "logger.commands.run.record_series",
        "logger.job",
        "logger.live.state",
        "logger.practice.serving",
        "logger.sources",
    ),
}
"""Libraries that these rooms alone may import, anywhere in them."""

MODULES_ARE_FACES = (
    "logger.wire",
    "logger.recording",
    "analysis.store",
    "logger.live",
    "logger.practice",
    "logger.reports",
    "logger.commands",
)
"""Rooms whose modules (or sub-rooms) other rooms name directly: each is a face of its own."""

MOST_OF_A_FACE = 40

ORDER_OF_LIVE = (
    "state", "drawing", "explain", "tools", "key_bindings", "key_presses", "opening", "job", "batch", "pages", "controllers",
    "console",
)  # fmt: skip
"""The sub-rooms of the live screen: each imports only what stands before it."""

NEVER_AT_TOP = ("termios", "tty", "pty", "fcntl", "grp")
"""Imported only inside functions: the virtual bench must work where they do not exist."""

LIBRARIES_OF_WIRE = {"numpy"}

LOADED_BY_HELP = ("logger", "logger.__main__", "logger.commands")
"""These bring no numpy in when imported: `--help` answers at once."""


@dataclass(frozen=True)
class Room:
    """One row of the table."""

    name: str
    may_import: frozenset[str]
    what: str


@dataclass(frozen=True)
class Import:
    """One thing a module imports, by its full name."""

    name: str
    at_top: bool
    """True where it runs when the module is imported, False inside a function or as a name in a string."""
    written: str
    """The module as it is written in the statement."""


def cells(markdown: str) -> list[tuple[str, ...]]:
    """Return the rows of the first table in a text, header and rule left off, code marks taken away."""
    rows: list[tuple[str, ...]] = []
    for line in markdown.splitlines():
        if line.startswith("|"):
            rows.append(tuple(cell.strip().replace("`", "") for cell in line.strip().strip("|").split("|")))
        elif rows:
            break
    return rows[2:]


def in_part(module: str, part: str) -> bool:
    """Tell whether a module is this module or package, or lies in it."""
    return module == part or module.startswith(part + ".")


def read_rooms(rows: list[tuple[str, ...]]) -> dict[str, Room]:
    """Return the rooms by name, in order; ValueError for one that may import what does not stand above it."""
    rooms: dict[str, Room] = {}
    for name, may, what in rows:
        allowed: set[str] = set()
        for word in may.split(","):
            wanted = word.strip()
            if wanted == "above":
                allowed |= set(rooms)
            elif wanted.endswith(".*"):
                allowed |= {room for room in rooms if in_part(room, wanted[:-2])}
            elif wanted in rooms:
                allowed.add(wanted)
            elif wanted != "nothing":
                raise ValueError(f"{name} may import {wanted}, which does not stand above it")
        if name in rooms:
            raise ValueError(f"{name} stands in the table twice")
        rooms[name] = Room(name, frozenset(allowed), what)
    return rooms


def read_table() -> list[tuple[str, ...]]:
    """Return the rows of the table in DEVELOPERS.md."""
    _, found, rest = DOCUMENT.read_text("utf-8").partition(f"\n{HEADING}\n")
    if not found:
        raise ValueError(f"DEVELOPERS.md has no heading {HEADING!r}")
    return cells(rest.partition("\n## ")[0])


ROOMS = read_rooms(read_table())


def room_of(module: str) -> str | None:
    """Return the room a module belongs to, None where it has no place."""
    if module in FACES:
        return module
    return next((room for room in ROOMS if room not in FACES and in_part(module, room)), None)


def read_modules() -> dict[str, str]:
    """Return the source of every module of both packages by its full name."""
    modules = {}
    for face in FACES:
        for path in sorted((ROOT / face).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            modules[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path.read_text("utf-8")
    return modules


def imports_of(source: str, known: Mapping[str, str]) -> list[Import]:
    """Return everything a module imports, also in functions, and modules named in strings (lazy loading)."""
    found: list[Import] = []

    def visit(node: ast.AST, at_top: bool) -> None:
        if isinstance(node, ast.Import):
            found.extend(Import(alias.name, at_top, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = f"{'.' * node.level}{node.module or ''}"
            for alias in node.names:
                name = f"{base}.{alias.name}"
                found.append(Import(base if in_project(base) and name not in known else name, at_top, base))
        elif isinstance(node, ast.Constant) and node.value in known and "." in str(node.value):
            found.append(Import(str(node.value), False, str(node.value)))
        inside = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            inside = True
        for child in ast.iter_child_nodes(node):
            visit(child, at_top and not inside)

    visit(ast.parse(source), True)
    return found


def in_project(name: str) -> bool:
    """Tell whether a name is one of ours."""
    return any(in_part(name, face) for face in FACES)


def in_order_of_live(module: str, other: str) -> bool:
    """Tell whether one module of the live screen may import another: of its own sub-room, or of one before it."""
    places = [ORDER_OF_LIVE.index(name.split(".")[2]) for name in (module, other) if name.count(".") >= 2]
    return len(places) < 2 or places[1] <= places[0]


def face_names(room: str) -> list[str]:
    """Return the names a room hands to others, as its stub declares them; modules it hands out whole left off."""
    stub = ROOT.joinpath(*room.split("."), "__init__.pyi")
    if not stub.exists():
        return []
    nodes = (node for node in ast.parse(stub.read_text("utf-8")).body if isinstance(node, ast.ImportFrom))
    return [alias.asname or alias.name for node in nodes if node.module for alias in node.names]


def circles(modules: Mapping[str, str]) -> list[list[str]]:
    """Return groups of modules that import one another, imports inside functions counted."""
    wanted = {
        module: sorted({item.name for item in imports_of(source, modules)} & modules.keys() - {module})
        for module, source in modules.items()
    }
    sorter = TopologicalSorter(wanted)
    try:
        sorter.prepare()
    except CycleError as error:
        return [error.args[1]]
    return []


def complaints(modules: Mapping[str, str]) -> Iterator[str]:
    """Yield one line for everything that is not as drawn."""
    for module, source in modules.items():
        room = room_of(module)
        if room is None:
            yield f"{module} has no place in the table"
            continue
        for item in imports_of(source, modules):
            library = item.name.split(".")[0]
            if item.name.startswith("."):
                yield f"{module} imports {item.name}: write the full name"
            elif in_project(item.name):
                other = room_of(item.name)
                if other not in (None, room, *ROOMS[room].may_import):
                    yield f"{module} imports {item.name}, but {room} may not import {other}"
                elif (
                    other not in (None, room, item.written, *FACES, *MODULES_ARE_FACES)
                    and room not in FACES
                    and in_part(item.written, str(other))
                ):
                    yield f"{module} imports {item.name}: take it from {other}, its face"
                elif other == room == "logger.live" and not in_order_of_live(module, item.name):
                    yield f"{module} imports {item.name}, which stands after it in the live screen"
            elif library in IMPORTERS and not any(
                in_part(module, importer) for importer in IMPORTERS[library]
            ):
                yield f"{module} imports {library}, which only {' and '.join(IMPORTERS[library])} may"
            elif library in NEVER_AT_TOP and item.at_top:
                yield f"{module} imports {library} at its top"
            elif library == "numpy" and item.at_top and module in LOADED_BY_HELP:
                yield f"{module} imports numpy at its top, and --help loads it"
            elif (
                room == "logger.wire"
                and library not in sys.stdlib_module_names
                and library not in LIBRARIES_OF_WIRE
            ):
                yield f"{module} imports {library}: standard library and numpy only"


def test_the_packages_are_built_as_drawn() -> None:
    assert list(complaints(read_modules())) == []


def test_no_module_imports_itself_by_way_of_others() -> None:
    assert circles(read_modules()) == []


def test_a_circle_is_found_also_where_an_import_stands_in_a_function() -> None:
    assert circles({"analysis.a": "import analysis.b", "analysis.b": "def f():\n import analysis.a"})


@pytest.mark.parametrize("room", ROOMS)
def test_a_face_is_small_true_and_hidden_by_no_module(room: str) -> None:
    names = face_names(room)
    assert len(names) == len(set(names)) <= MOST_OF_A_FACE
    face = import_module(room)
    assert [name for name in names if not hasattr(face, name)] == []
    inside = {path.stem for path in ROOT.joinpath(*room.split(".")).glob("*")}
    assert [name for name in names if name in inside] == []


def test_everything_can_be_loaded_at_once() -> None:
    names = [name for name in read_modules() if not in_part(name, "analysis.store.migrations")]
    ran = subprocess.run(
        [sys.executable, "-c", f"import importlib\nfor name in {names}: importlib.import_module(name)"],
        env=os.environ | {"EAGER_IMPORT": "1"}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.stderr == ""


def test_every_room_in_the_table_is_there() -> None:
    built = {room_of(module) for module in read_modules()}
    assert [room for room in ROOMS if room not in built] == []


@pytest.mark.parametrize(
    ("module", "source", "words"),
    [
        ("analysis.units", "from logger.stream import Item", "analysis.units may not import logger.stream"),
        (
            "analysis.units",
            "from analysis.setup.setup import Setup",
            "analysis.units may not import analysis.setup",
        ),
        (
            "analysis.units",
            "from analysis.setup.setup import setup",
            "analysis.units may not import analysis.setup",
        ),
        ("analysis.units", "from analysis import fit_sweep", "analysis.units may not import analysis"),
        (
            "analysis.units",
            "import analysis.sweep.pipeline as s",
            "analysis.units may not import analysis.sweep",
        ),
        (
            "analysis.units",
            "def f():\n import analysis.sweep.pipeline",
            "analysis.units may not import analysis.sweep",
        ),
        (
            "analysis.units",
            "HOME = {'a': 'analysis.sweep.pipeline'}",
            "analysis.units may not import analysis.sweep",
        ),
        (
            "logger.session.session",
            "import logger.acquisition.worker",
            "logger.session may not import logger.acquisition",
        ),
        ("logger.wire.framing", "import analysis.errors", "logger.wire may not import analysis.errors"),
        ("logger.wire.framing", "import scipy", "standard library and numpy only"),
        ("logger.acquisition.worker", "import serial.tools", "which only logger.sources.port may"),
        ("logger.sources.replay", "import serial", "which only logger.sources.port may"),
        ("analysis.storeroom", "", "has no place in the table"),
        ("logger.new", "", "has no place in the table"),
        ("logger.practice.serving.server", "import pty", "imports pty at its top"),
        (
            "logger.practice.serving.server",
            "try:\n import termios\nexcept ImportError: pass",
            "imports termios at its top",
        ),
        ("logger.__main__", "from numpy import pi", "--help loads it"),
        ("logger.acquisition.worker", "from .items import Item", "write the full name"),
    ],
)
def test_what_is_not_as_drawn_is_told(module: str, source: str, words: str) -> None:
    known = dict.fromkeys(
        (
            "analysis.setup",
            "analysis.setup.setup",
            "analysis.sweep.pipeline",
            "analysis.errors",
            "logger.stream",
        ),
        "",
    )
    assert [words in line for line in complaints(known | {module: source})] == [True]


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("logger.practice.serving.server", "def f():\n import pty"),
        (
            "logger.practice.serving.server",
            "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n import pty",
        ),
        ("logger.sources.port", "import serial"),
        ("analysis.store.queries", "from sqlalchemy import select\nfrom analysis.store.rows import TurnRow"),
        ("logger.commands.run.sweep", "import numpy"),
        ("logger.wire.bulk", "import struct\nimport numpy as np"),
        ("logger.session.session", "from analysis import fit_sweep"),
    ],
)
def test_what_is_as_drawn_passes(module: str, source: str) -> None:
    assert list(complaints({module: source})) == []


@pytest.mark.parametrize(
    "rows", [[("a", "b", ""), ("b", "nothing", "")], [("a", "nothing", ""), ("a", "nothing", "")]]
)
def test_a_table_that_points_upward_or_twice_is_refused(rows: list[tuple[str, ...]]) -> None:
    with pytest.raises(ValueError, match=r"does not stand above it|twice"):
        read_rooms(rows)
