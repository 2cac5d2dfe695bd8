"""A file's tests run in one worker, and all that emulate the board in one: told by workers that are really started."""

import os
import subprocess
import sys
from pathlib import Path

from places import ROOT

PASSES = """
import os, pathlib, pytest
@pytest.mark.parametrize("number", range(6))
def test_here(number, worker_id):
    with (pathlib.Path(__file__).parent / "ran").open("a") as ran:
        print(pathlib.Path(__file__).stem, worker_id, file=ran)
"""


def test_what_is_set_up_for_a_file_is_set_up_in_one_worker(tmp_path: Path) -> None:
    (tmp_path / "conftest.py").write_text("from work_units import pytest_xdist_make_scheduler\n")
    for name in ("test_firmware_first", "test_firmware_second", "test_one", "test_another"):
        (tmp_path / f"{name}.py").write_text(PASSES)
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-n", "2", "--dist", "loadfile", "--rootdir", str(tmp_path)],
        cwd=tmp_path,
        env=environment | {"PYTHONPATH": f"{ROOT / 'tests'}"},
        check=True,
        capture_output=True,
    )
    ran = {tuple(line.split()) for line in (tmp_path / "ran").read_text().splitlines()}
    of = dict(sorted(ran))
    assert len(ran) == len(of) == 4
    assert of["test_firmware_first"] == of["test_firmware_second"]
    assert len(set(of.values())) == 2
