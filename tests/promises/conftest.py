"""The program in a home with everything that its promises are asked of."""

import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from places import FROZEN_STORE, RECORDINGS
from promises import inside, outside
from promises.outside import FOUND, Program
from running import move_in


def move_about(program: Program) -> None:
    """Make a store whose recordings lie elsewhere, were altered or removed, or were never finished."""
    home = program.home
    (home / "others").mkdir()
    (home / "moved").mkdir()
    sources = {name: RECORDINGS / f"wind-pump-{name}" / "recording.mcap" for name in MOVED}
    for name, source in sources.items():
        folder = home / "others" if name == "mount-2" else home
        shutil.copy(source, folder / f"{name}.mcap")
        assert (
            program.run("store", "add", str(folder / f"{name}.mcap"), "--store", outside.MOVED_ABOUT)[0] == 0
        )
    (home / "mount-1.mcap").rename(home / "others" / "mount-1.mcap")
    for name in ("as-found", "as-left"):
        shutil.move(home / f"{name}.mcap", home / "moved")
    with (home / "moved" / "as-left.mcap").open("ab") as altered:
        altered.write(b"one byte more")
    with (home / "after-cut.mcap").open("ab") as altered:
        altered.write(b"one byte more")
    inside.begin_recording(home / outside.MOVED_ABOUT)


def keep_checks(program: Program) -> None:
    """Make a store with checks of a standard, the last one out, one not from a mark, and what hangs on the gauge."""
    home = program.home
    inside.add_checks(home / outside.CHECKED, 1, 12)
    ring = ("history", "check ring", "--fix-baseline", "--store", outside.CHECKED)
    assert program.run(*ring)[0] == 0
    inside.add_checks(home / outside.CHECKED, 2, 2, away_mm=0.02)


MOVED = ("mount-2", "mount-1", "as-found", "as-left", "after-cut")


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Program]:
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as monkeypatch:
        move_in(home, monkeypatch)
        monkeypatch.setattr(tempfile, "tempdir", str(home))
        (home / "config").mkdir()
        (home / "config" / "known.toml").write_text('[[board]]\npath = "socket://127.0.0.1:9"\n')
        marks = [{"event": "mark", "on": "part", "count": 2400 * turn} for turn in range(6)]
        inside.copy_recording(Path(FOUND), home / outside.WITH_MARKS, marks)
        end_float = {"event": "end-float", "float_mm": 0.002}
        inside.copy_recording(Path(FOUND), home / outside.WITH_END_FLOAT, [end_float])
        (home / outside.STORED).write_bytes(FROZEN_STORE.read_bytes())
        (home / "points.csv").write_text("angle_deg,reading_mm\n0,0.0\n90,0.1\n180,0.0\n270,0.1\n")
        (home / "points.db").write_text("no pages of a database\n" * 100)
        program = Program(home)
        assert program.run("export", FOUND, "-o", outside.EXPORTED)[0] == 0
        move_about(program)
        keep_checks(program)
        yield program
