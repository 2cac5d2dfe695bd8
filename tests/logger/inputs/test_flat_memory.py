"""A recording is read, and recorded, with the same memory however long it is."""

import tracemalloc

import pytest

from analysis.sweep import analyse
from logger.inputs.loading import load_sweep
from tests.benchmarks.made_recordings import RATE_HZ, Made

MOST_A_READING = 12.0
"""Bytes for each further reading; held as arrays a reading takes 49, and as many again on the way there."""


@pytest.fixture(scope="module")
def peaks(tmp_path_factory: pytest.TempPathFactory) -> dict[int, int]:
    """Peak of memory of a sweep of so many minutes at 1,000 readings a second, bytes."""
    folder, found = tmp_path_factory.mktemp("long"), {}
    for minutes in (3, 15):
        path = folder / f"{minutes}.mcap"
        Made("long", minutes, batches=True)._write(path)
        if not found:
            analyse(load_sweep(str(path), {}).capture)  # whatever is loaded or kept the first time
        tracemalloc.start()
        capture = load_sweep(str(path), {}).capture
        result = analyse(capture)
        found[minutes] = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert len(result.turns) == minutes * 20
    return found


def test_a_further_reading_takes_next_to_nothing(peaks: dict[int, int]) -> None:
    readings = (15 - 3) * 60 * RATE_HZ
    assert (peaks[15] - peaks[3]) / readings < MOST_A_READING


def test_five_times_the_readings_do_not_take_half_as_much_again(peaks: dict[int, int]) -> None:
    assert peaks[15] < 1.5 * peaks[3]
