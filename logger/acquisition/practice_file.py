"""A recording of the virtual bench made at once, without waiting for anything."""

from collections.abc import Mapping
from pathlib import Path

from logger.acquisition.recorder import Recorded, Recorder, seeded_identity
from logger.practice import SLICE_US, PracticeSource


def write_practice(
    name: str,
    out: Path,
    version: str,
    *,
    seed: int = 1,
    fault: str | None = None,
    turns: int | None = None,
    more_setup: Mapping[str, str] | None = None,
    kept_apart: str = "",
    piece_us: int = SLICE_US,
) -> Recorded:
    """Write scenario ``name`` to a new file; the same arguments write the same bytes.

    Parameters: ``version`` of the program; ``more_setup`` goes on top of the scenario's; ``kept_apart`` gives
    recordings with other bytes than the scenario's own another identity; ``piece_us``: how long the pieces
    are in which bytes come. Raises BadInput, RecordingError.
    """
    source = PracticeSource(name, seed, fault, turns, piece_us=piece_us)
    recorder = Recorder(
        source,
        out,
        setup={**source.setup, **(more_setup or {})},
        identity=seeded_identity(f"{kept_apart}{source.name}", seed, fault, source.now()),
        version=version,
        threaded=False,
        fsync=_never,
    )
    for _ in recorder.messages():
        pass
    recorded = recorder.close()
    if recorded.error is not None:
        raise recorded.error
    return recorded


def _never(_: int) -> None:
    """Wait for no disk: what is lost with its power is made again, to the byte."""
