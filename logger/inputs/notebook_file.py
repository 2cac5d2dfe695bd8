"""A notebook that begins where a person would: six cells that read one recording, fit, decide, draw, compare.

Plain JSON of the notebook format, version 4.4, without what ran in it: the same recording, the same bytes.
"""

import json
from collections.abc import Mapping
from typing import Any, TextIO

from analysis.setup import Limit

NO_LIMIT = '"0.050 mm"  # no limit was entered with this recording: write yours'


def write_notebook(
    file: TextIO, recording: str, setup: Mapping[str, str], limit: Limit | None, sha256: str | None
) -> None:
    """Write it; ``setup`` is what goes on top of the recording's own, ``sha256`` that of its file."""
    of = f"\n\nSHA-256 of its file when this was written: `{sha256}`." if sha256 else ""
    entered = repr(limit.length.as_written) if limit is not None else NO_LIMIT
    cells = [
        _cell(
            "markdown",
            f"# One sweep\n\nRecording `{recording}`.{of}\n\nLengths in mm, angles in degrees past the mark.",
        ),
        _cell(
            "code",
            "from logger import read_recording\n\n"
            f"RECORDING = {recording!r}\nSETUP = {dict(setup)!r}  # goes on top of what was recorded\n"
            "capture = read_recording(RECORDING, SETUP)\ncapture",
        ),
        _cell("code", "from analysis import fit_sweep\n\nsweep = fit_sweep(capture)\nsweep"),
        _cell("code", f"from analysis import decide\n\nLIMIT = {entered}\ndecide(sweep, LIMIT)"),
        _cell("code", "from analysis import plot_sweep  # wants fullturn[plots]\n\nplot_sweep(sweep)"),
        _cell(
            "code",
            "from analysis import compare\n\n"
            "OTHER = RECORDING  # name the recording to compare with\n"
            "compare(sweep, fit_sweep(read_recording(OTHER, SETUP)))",
        ),
    ]
    written = {
        "cells": cells,
        "metadata": {
            "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
            "language_info": {"name": "python"},
        },
        "nbformat": 4,
        "nbformat_minor": 4,
    }
    json.dump(written, file, ensure_ascii=False, indent=1)
    file.write("\n")


def _cell(kind: str, source: str) -> dict[str, Any]:
    cell: dict[str, Any] = {
        "cell_type": kind,
        "metadata": {},
        "source": source.splitlines(keepends=True),
    }
    return cell if kind == "markdown" else {**cell, "execution_count": None, "outputs": []}
