"""What is built can be used without the source: every file the program needs lies in the wheel."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from places import ROOT

pytestmark = pytest.mark.slow  # builds the wheel

CODE = {".py", ".pyi", ".typed", ".mako", ".tcss", ".html", ".toml", ".j2", ".ttf"}


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--wheel-dir", str(folder), str(ROOT)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    (wheel,) = folder.glob("fullturn-*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "unpacked")
    return folder / "unpacked"


def test_every_file_of_both_packages_is_in_the_wheel(unpacked: Path) -> None:
    here = {
        path.relative_to(ROOT).as_posix()
        for package in ("analysis", "logger")
        for path in (ROOT / package).rglob("*")
        if path.suffix in CODE
    }
    there = {path.relative_to(unpacked).as_posix() for path in unpacked.rglob("*") if path.is_file()}
    assert here - there == set()


def test_the_main_job_runs_from_the_wheel_alone(unpacked: Path, tmp_path: Path) -> None:
    environment = {
        **os.environ,
        "PYTHONPATH": str(unpacked),
        "HOME": str(tmp_path),
        "FULLTURN_DATA": str(tmp_path / "data"),
        "FULLTURN_CONFIG": str(tmp_path / "config"),
    }
    done = subprocess.run(
        [sys.executable, "-m", "logger", "record", "practice:wind-pump/as-found", "--turns", "1"],
        capture_output=True,
        text=True,
        cwd=tmp_path,
        env=environment,
        check=False,
    )
    assert done.returncode == 1, done.stderr
    assert "over the entered limit" in done.stdout
    assert (tmp_path / "data" / "fullturn.db").exists()
