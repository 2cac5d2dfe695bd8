"""Every report's JSON has the promised keys in their order, and is what JSON knows."""

import json

import pytest
from example_results import objects
from places import ROOT
from promises.outside import paths_of

OF_A_SWEEP_WITH_MORE = ("sweep: form", "sweep: opposed")
"""What further options add to the object of a sweep: reports of their own."""
EMPTY_HERE = (
    "sweep: link.",
    "sweep: from_recording.",
    "sweep: bumps[]",
    "sweep: left_out[]",
    "sweep: pooled.lines[]",
)
"""A made sweep has no link, no recording behind it, no narrow bump, nothing left out and no line."""
NO_RESULT = {
    "__init__",
    "angle_direction",
    "budget",
    "csv_table",
    "late_gauge",
    "phrases",
    "sweep_rows",
    "to_json",
}


def promised(name: str) -> list[str]:
    prefix = objects()[name][0]
    lines = (ROOT / "tests" / "promises" / "json_keys.txt").read_text(encoding="utf-8").splitlines()
    others = () if "." in prefix else OF_A_SWEEP_WITH_MORE
    return [
        line.removeprefix(prefix)
        for line in lines
        if line.startswith(prefix)
        and not line.startswith((*others, *EMPTY_HERE))
        and ("provenance" in prefix or not line.partition(": ")[2].startswith("provenance"))
    ]


REPORTS = sorted(
    {path.stem for path in (ROOT / "logger" / "reports").glob("*.py")} - NO_RESULT | objects().keys()
)
"""Every module; of one that has several results each."""


@pytest.mark.parametrize("name", REPORTS)
def test_the_keys_of_every_report_are_those_promised_in_their_order(name: str) -> None:
    assert paths_of(objects()[name][1]) == promised(name)


@pytest.mark.parametrize("name", REPORTS)
def test_every_report_is_what_json_knows(name: str) -> None:
    found = objects()[name][1]
    assert json.loads(json.dumps(found, allow_nan=False)) == found
