"""README's commands, typed as README writes them, in its order, in a shell where only its own set-up was done."""

import os
import re
import shlex
import shutil
import subprocess
import sys
import sysconfig
from dataclasses import dataclass
from pathlib import Path

import pytest
from places import ROOT

pytestmark = pytest.mark.slow  # installs the program and types some forty commands

README = (ROOT / "README.md").read_text(encoding="utf-8")
NEEDS_A_PERSON = (
    "PORT",
    "/dev/",
    "FILE",
    "watch",
    "fullturn practice wind-pump/as-found",
    "...",
    "--editable",
    ".venv/bin/activate",
)
"""What is left to whoever has a board, a file of their own or a window before them, runs the tests, or is typed
by the set-up here; everything else is typed."""


@dataclass(frozen=True)
class Line:
    """One command as it stands."""

    typed: str
    status: int | None
    """As README says behind ``#``; None where it says none: then the command did its work."""


def lines() -> list[Line]:
    """Return every command of README in its order: blocks, and examples between backquotes."""
    found = []
    for block, inline in re.findall(
        r"```sh\n(.*?)```|(?<!`)`((?:fullturn|python|\.venv)[^`]+)`", README, flags=re.DOTALL
    ):
        for line in block.splitlines() or [inline]:
            typed, _, said = line.partition("  # ")
            found.append(Line(typed.strip(), int(said.split(":")[0]) if said else None))
    return found


def is_typed(line: Line) -> bool:
    complete = " " in line.typed.strip()
    return complete and not any(word in line.typed for word in NEEDS_A_PERSON)


@pytest.fixture(scope="module")
def set_up(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Do what README's first command does, from the files that are kept, with what it depends on already there.

    The wheel is built and installed by pip; what it depends on is the running environment's own.
    """
    folder = tmp_path_factory.mktemp("readme") / "fullturn"
    kept = subprocess.run(
        ["git", "-C", str(ROOT), "ls-files", "-z"], capture_output=True, text=True, check=True
    )
    for name in filter(None, kept.stdout.split("\0")):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(ROOT / name, folder / name)
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", ".venv"], cwd=folder, check=True)
    place = (
        Path(".venv") / "lib" / f"python{sys.version_info.major}.{sys.version_info.minor}" / "site-packages"
    )
    (folder / place / "running.pth").write_text(sysconfig.get_path("purelib") + "\n")
    installed = subprocess.run(
        [sys.executable, "-m", "pip", "--python", str(folder / ".venv/bin/python"), "install", "--quiet",
         "--no-deps", "--ignore-installed", "."],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert installed.returncode == 0, installed.stderr
    return folder


def test_every_command_can_be_typed_as_it_stands(set_up: Path, tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    typed = [line for line in lines() if is_typed(line)]
    first, activation = README.index("python3 -m venv"), README.index(". .venv/bin/activate")
    assert first < activation < README.index("fullturn ports")
    script = [". .venv/bin/activate"]
    for k, line in enumerate(typed):
        tidied = line.typed.partition("&& .venv/bin/fullturn ")
        command = f".venv/bin/fullturn {tidied[2]}" if tidied[1] else line.typed
        script += [
            f"{{ {command}; }} >{shlex.quote(str(tmp_path / f'{k}.out'))} 2>{shlex.quote(str(tmp_path / f'{k}.err'))} </dev/null",
            f"echo {k} $?",
        ]
    environment = {"HOME": str(home), "PATH": os.environ["PATH"], "LANG": "C.UTF-8"}
    ran = subprocess.run(
        ["bash", "-c", "\n".join(script)],
        cwd=set_up,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert ran.stderr == ""
    ended = dict(map(int, said.split()) for said in ran.stdout.splitlines())
    wrong = [
        f"{line.typed} ended {ended[k]}: {(tmp_path / f'{k}.err').read_text().strip()}"
        for k, line in enumerate(typed)
        if (ended[k] != line.status if line.status is not None else ended[k] not in (0, 1, 3))
    ]
    assert wrong == []
    assert len(typed) > 40
    # It was this tree's own program that was typed, not one that lay elsewhere.
    assert (
        str(set_up)
        in subprocess.run(
            [set_up / ".venv/bin/python", "-c", "import logger; print(logger.__file__)"],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
    )


def test_what_is_not_typed_is_only_what_needs_a_person() -> None:
    left = {line.typed for line in lines() if " " in line.typed and not is_typed(line)}
    assert 0 < len(left) < 25
