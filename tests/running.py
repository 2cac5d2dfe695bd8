"""The command as a person runs it, in an empty home: in a process of its own, or in this one to save time."""

import contextlib
import io
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from places import ROOT

from logger.__main__ import run

FLANGE = "practice:wind-pump/as-found"
COMMAND = (sys.executable, "-W", "error", "-m", "logger")
GUARD_S = 240.0
"""No command takes so long; only a hung one is ended by it, and its test fails."""


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    status: int
    out: str
    err: str

    @property
    def result(self) -> dict[str, Any]:
        """The one JSON object on standard output."""
        found = json.loads(self.out, parse_constant=_no_constant)
        assert isinstance(found, dict)
        return found

    @property
    def first_line(self) -> str:
        """The answer."""
        return self.out.splitlines()[0]


def _no_constant(name: str) -> Any:
    raise AssertionError(f"{name} in a JSON object: what cannot be had is null")


def home_variables(home: Path) -> dict[str, str]:
    """Return the environment of a person whose home is this empty folder."""
    return {
        "HOME": str(home),
        "XDG_CONFIG_HOME": str(home / "xdg-config"),
        "XDG_DATA_HOME": str(home / "xdg-data"),
        "XDG_CACHE_HOME": str(home / "xdg-cache"),
        "FULLTURN_CONFIG": str(home / "config"),
        "FULLTURN_DATA": str(home / "data"),
        "FULLTURN_STORE": str(home / "store.db"),
    }


def environment(home: Path) -> dict[str, str]:
    """Return the environment of a process of its own; nothing of ours that is set outside gets in."""
    inherited = {name: value for name, value in os.environ.items() if not name.startswith("FULLTURN_")}
    return inherited | home_variables(home) | {"PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}


def move_in(home: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Let commands that run in this process find this home, and work in it; return it."""
    for name in [name for name in os.environ if name.startswith("FULLTURN_")]:
        monkeypatch.delenv(name)
    for name, value in home_variables(home).items():
        monkeypatch.setenv(name, value)
    monkeypatch.chdir(home)
    return home


def inside(capsys: pytest.CaptureFixture[str], *arguments: object) -> Ran:
    """Run a command in this process."""
    capsys.readouterr()
    status = run([str(argument) for argument in arguments])
    captured = capsys.readouterr()
    return Ran(status, captured.out, captured.err)


def printed(*arguments: object) -> tuple[int, str]:
    """Run a command in this process; return its status and what it printed."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        status = run([*map(str, arguments)])
    return status, out.getvalue()


def json_of(*arguments: object, ran: Callable[..., tuple[int, str]] = printed) -> tuple[int, Any]:
    """Run a command with --json; return its status and its object, None where none came."""
    status, out = ran(*arguments, "--json")
    return status, json.loads(out) if out else None


def start(
    home: Path, *arguments: object, stdin: int = subprocess.DEVNULL, stdout: int = subprocess.PIPE
) -> subprocess.Popen[str]:
    """Start a command in a process of its own."""
    return _start(home, [*COMMAND, *map(str, arguments)], stdin, stdout)


def start_python(
    home: Path, lines: str, *arguments: object, stdin: int = subprocess.DEVNULL
) -> subprocess.Popen[str]:
    """Start lines of Python in a process of their own, with both packages in reach."""
    return _start(home, [sys.executable, "-W", "error", "-c", lines, *map(str, arguments)], stdin)


def _start(
    home: Path, command: list[str], stdin: int, stdout: int = subprocess.PIPE
) -> subprocess.Popen[str]:
    return subprocess.Popen(
        command,
        stdin=stdin,
        stdout=stdout,
        stderr=subprocess.PIPE,
        text=True,
        cwd=home,
        env=environment(home),
    )


def finish(process: subprocess.Popen[str]) -> Ran:
    """Wait for its end."""
    with process:
        try:
            out, err = process.communicate(timeout=GUARD_S)
        except subprocess.TimeoutExpired:
            process.kill()
            raise
    return Ran(process.returncode, out, err)


def said(process: subprocess.Popen[str], words: str) -> str:
    """Wait until a command says this on standard error; return the line."""
    assert process.stderr is not None
    for line in process.stderr:
        if words in line:
            return line
    raise AssertionError(f"it never said {words!r}")


def fullturn(home: Path, *arguments: object) -> Ran:
    """Run a command in a process of its own to its end."""
    return finish(start(home, *arguments))


def python(home: Path, lines: str, *arguments: object) -> Ran:
    """Run lines of Python in a process of their own to their end."""
    return finish(start_python(home, lines, *arguments))


@contextmanager
def bench(home: Path, *arguments: object) -> Iterator[str]:
    """Serve the virtual bench in a process of its own; give the port, and end it with Ctrl-C."""
    process = start(home, "practice", *arguments)
    try:
        assert process.stdout is not None
        port = process.stdout.readline().strip()
        assert port, finish(process).err
        yield port
    finally:
        process.send_signal(signal.SIGINT)
        finish(process)


def practice_file(path: Path, name: str = "wind-pump/as-found", *arguments: object) -> Path:
    """Write a recording of the virtual bench in this process and return its path."""
    assert run(["practice", name, "--write", str(path), *map(str, arguments)]) == 0
    return path


def one_line(ran: Ran) -> str:
    """Return the one line a refusal is, after making sure that it is one and that nothing else was said."""
    assert ran.out == ""
    lines = [line for line in ran.err.splitlines() if line.startswith("fullturn: ")]
    assert len(lines) == 1, ran.err
    return lines[0].removeprefix("fullturn: ")


def refusals(
    capsys: pytest.CaptureFixture[str], status: int, *arguments: object, json: bool = True
) -> list[str]:
    """Run a command that has to be refused, as text and with --json; return its lines."""
    lines = []
    for more in ((), ("--json",)) if json else ((),):
        ran = inside(capsys, *arguments, *more)
        assert (ran.status, ran.out) == (status, "")
        lines.append(one_line(ran))
        assert len(ran.err.splitlines()) == 1
    return lines
