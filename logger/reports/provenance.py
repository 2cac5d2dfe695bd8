"""What every result names: the sweeps it is of, program and numerics, and the rule of decision."""

from collections.abc import Sequence
from typing import Any

from analysis.decision import RULE
from analysis.setup import Setup
from analysis.sweep import NUMERICS_VERSION
from logger.inputs import SweepOrigin
from logger.program_version import PROGRAM_VERSION
from logger.reports.angle_direction import angle_direction
from logger.reports.phrases import Section

DIGITS = 8
"""So many of a checksum's digits are printed; JSON has them all."""


def as_json(origins: Sequence[SweepOrigin]) -> dict[str, Any]:
    """Return the object that stands under ``provenance``."""
    return {
        "program": PROGRAM_VERSION,
        "numerics": NUMERICS_VERSION,
        "rule": RULE,
        "sweeps": [
            {
                "file": one.file,
                "recording_id": one.recording_id,
                "measured": one.measured,
                "sha256": one.sha256,
            }
            for one in origins
        ],
    }


def section(origins: Sequence[SweepOrigin], setups: Sequence[Setup] = ()) -> Section:
    """Return the lines at the end of a result; ``setups`` those whose angles it names."""
    directions = dict.fromkeys(map(angle_direction, setups))
    versions = f"fullturn {PROGRAM_VERSION}, numerics {NUMERICS_VERSION}, rule {RULE}."
    return Section(notes=(*directions, *map(_origin, dict.fromkeys(origins)), versions))


def _origin(one: SweepOrigin) -> str:
    if one.sha256 is None:
        return f"From {one.file}: date and recording not recorded."
    recording = f"recording {one.recording_id}" if one.recording_id else "no recording"
    when = f"measured {one.measured}" if one.measured else "date not recorded"
    return f"From {one.file}: {recording}, {when}, sha256 {one.sha256[:DIGITS]}."
