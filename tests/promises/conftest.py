"""The program in a home with everything that its promises are asked of."""

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from places import FROZEN_STORE
from promises import inside, outside
from promises.outside import FOUND, Program
from running import move_in


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
        yield program
