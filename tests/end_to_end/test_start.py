"""What starts quickly loads little: told by the modules a command has loaded, never by a stopwatch."""

from pathlib import Path

import pytest
from running import move_in, practice_file, python

HEAVY = ("scipy", "matplotlib", "textual", "statsmodels", "pint")
"""Half a second and more each; pint only where a quantity of it is handed over."""
LIBRARIES = ("numpy", "scipy", "pint", "textual", "matplotlib", "sqlalchemy", "alembic", "serial", "mcap")

LOADED = """
import sys
from logger.__main__ import run
status = run(sys.argv[2:])
print(status, *sorted(name for name in sys.argv[1].split(",") if name in sys.modules), file=sys.stderr)
"""


def loaded(home: Path, libraries: tuple[str, ...], *arguments: object) -> tuple[int, set[str]]:
    """Run a command in a process of its own; return its status and which of these modules it loaded."""
    ran = python(home, LOADED, ",".join(libraries), *arguments)
    status, *found = ran.err.splitlines()[-1].split()
    return int(status), set(found)


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return practice_file(tmp_path_factory.mktemp("made") / "one.mcap", "wind-pump/as-found", "--turns", 1)


@pytest.mark.parametrize("arguments", [("--help",), ("record", "--help"), ("sweep", "--help")], ids=" ".join)
def test_help_loads_no_library(tmp_path: Path, arguments: tuple[str, ...]):
    assert loaded(tmp_path, LIBRARIES, *arguments) == (0, set())


@pytest.mark.parametrize("command", ["completion", "settings"])
def test_what_computes_nothing_loads_no_library(tmp_path: Path, command: str):
    more = ("bash",) if command == "completion" else ()
    assert loaded(tmp_path, LIBRARIES, command, *more) == (0, set())


def test_a_sweep_loads_nothing_heavy_and_no_store(tmp_path: Path, recording: Path):
    unwanted = (*HEAVY, "alembic", "sqlalchemy", "serial")
    assert loaded(tmp_path, unwanted, "sweep", recording, "--json") == (1, set())


def test_checking_a_file_loads_nothing_heavy(tmp_path: Path, recording: Path):
    unwanted = (*HEAVY, "alembic", "sqlalchemy", "serial")
    assert loaded(tmp_path, unwanted, "check-file", recording) == (0, set())


RECORD = ("record", "practice:wind-pump", "--turns", "1", "--json")


def test_recording_loads_nothing_heavy(tmp_path: Path):
    assert loaded(tmp_path, HEAVY, *RECORD) == (1, set())


def test_recording_without_a_store_loads_none(tmp_path: Path):
    unwanted = (*HEAVY, "alembic", "sqlalchemy")
    assert loaded(tmp_path, unwanted, *RECORD, "--no-store") == (1, set())


def test_only_a_store_that_has_to_be_made_loads_what_makes_it(tmp_path: Path):
    assert loaded(tmp_path, ("alembic",), *RECORD) == (1, {"alembic"})
    assert loaded(tmp_path, ("alembic",), *RECORD) == (1, set())


WITHOUT_TERMINALS = """
import sys

BLOCKED = ("pty", "termios", "tty", "fcntl")

class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name in BLOCKED:
            raise ImportError(f"no {name} on this system")

for name in BLOCKED:
    sys.modules.pop(name, None)
sys.meta_path.insert(0, Refuse())

from logger.__main__ import run

sys.exit(run(sys.argv[1:]))
"""


@pytest.mark.parametrize(
    "arguments",
    [
        ("sweep", "practice:wind-pump", "--json"),
        ("record", "practice:wind-pump", "--turns", "1", "--json"),
        ("practice", "wind-pump", "--write", "made.mcap"),
    ],
    ids=lambda arguments: arguments[0],
)
def test_the_bench_works_where_there_are_no_terminals(tmp_path: Path, arguments: tuple[str, ...]):
    ran = python(tmp_path, WITHOUT_TERMINALS, *arguments)
    # What the bench makes is over its limit; written, it is only written.
    assert ran.status == (0 if arguments[0] == "practice" else 1), ran.err
    assert ran.out


def test_nothing_is_written_outside_the_folders_of_this_user(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    move_in(tmp_path, monkeypatch)
    assert loaded(tmp_path, (), *RECORD)[0] == 1
    made = {str(path.relative_to(tmp_path).parts[0]) for path in tmp_path.rglob("*") if path.is_file()}
    assert made <= {"data", "config", "store.db", "store.db-wal", "store.db-shm"}
