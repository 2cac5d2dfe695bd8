"""The recorder of a practice sweep, for tests of what is kept of one."""

from collections.abc import Mapping
from pathlib import Path

from logger.acquisition.recorder import Recorder, seeded_identity
from logger.practice.serving.simulated_source import PracticeSource


def practice_recorder(file: Path, turns: int, **setup: str) -> Recorder:
    """Return the recorder of so many turns of the wind pump as found, the same bytes every time."""
    source = PracticeSource("wind-pump/as-found", turns=turns)
    more: Mapping[str, str] = {**source.setup, **setup}
    identity = seeded_identity(source.name, 1, None, source.now())
    return Recorder(source, file, setup=more, identity=identity, version="0", threaded=False)
