"""The bench in the process: a source whose time passes only when it is read."""

import subprocess
import sys

import pytest

from analysis.errors import BadInput
from logger.practice.serving.simulated_source import PracticeSource
from logger.practice.stories.catalogue import scenario
from logger.stream import Item, LinkBytes, Source

WITHOUT_TERMINALS = """
import sys

class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name in ("pty", "termios", "tty", "fcntl"):
            raise ImportError(name)

for name in ("pty", "termios", "tty", "fcntl"):
    sys.modules.pop(name, None)
sys.meta_path.insert(0, Refuse())

from logger.practice.serving import server as serve
from logger.practice.serving.ends import pty_available
from logger.practice.serving.simulated_source import PracticeSource

source = PracticeSource("wind-pump", turns=1)
source.read(0.1)
source.write(b"1 start\\n")
size = 0
while not source.at_end:
    size += sum(len(item.data) for item in source.read(0.5))
print(size, pty_available())
"""


def started(name: str = "wind-pump", seed: int = 1, turns: int | None = None) -> PracticeSource:
    source = PracticeSource(name, seed, turns=turns)
    source.read(0.1)
    source.write(b"1 start\n")
    return source


def drain(source: PracticeSource) -> list[Item]:
    items: list[Item] = []
    while not source.at_end:
        items += source.read(0.5)
    return items


def test_it_has_the_shape_of_a_source() -> None:
    source: Source = PracticeSource("wind-pump")
    assert source.name == "practice:wind-pump/as-found"


def test_its_clock_stands_still_while_it_is_not_read() -> None:
    source = PracticeSource("wind-pump")
    assert source.now() == source.now()


def test_a_read_that_nothing_answers_takes_as_long_as_it_would_wait() -> None:
    source = PracticeSource("wind-pump")
    source.read(0.1)
    before = source.now().monotonic_ns
    assert source.read(0.05) == []
    assert source.now().monotonic_ns - before == 50_000_000


def test_a_read_that_does_not_want_to_wait_still_moves_on() -> None:
    source = PracticeSource("wind-pump")
    source.read(0.0)
    assert source.now().monotonic_ns > 0


def test_both_clocks_go_together() -> None:
    items = drain(started(turns=1))
    apart = {item.host.wall_ns - item.host.monotonic_ns for item in items}
    assert len(apart) == 1


def test_time_never_goes_back() -> None:
    times = [item.host.monotonic_ns for item in drain(started("wind-pump/end-float"))]
    assert times == sorted(times)


def test_the_sweeps_of_a_job_follow_one_another_in_time() -> None:
    walls = [
        PracticeSource(f"wind-pump/{name}").now().wall_ns for name in ("end-float", "as-found", "as-left")
    ]
    assert walls == sorted(set(walls))


def test_without_start_it_never_ends() -> None:
    source = PracticeSource("wind-pump", turns=1)
    for _ in range(100):
        source.read(1.0)
    assert not source.at_end


@pytest.mark.parametrize("turns", [1, 3])
def test_it_ends_after_the_turns_asked_for_and_a_little_more(turns: int) -> None:
    source = started(turns=turns)
    drain(source)
    count = source.bench._count(source.bench.now_us)
    assert turns * 2400 < count < (turns + 0.1) * 2400


def test_at_its_end_nothing_comes_any_more() -> None:
    source = started(turns=1)
    drain(source)
    assert source.read(1.0) == []


def test_once_closed_it_is_at_its_end() -> None:
    source = started()
    source.close()
    source.close()
    assert (source.at_end, source.read(1.0)) == (True, [])


def test_its_set_up_is_that_of_the_scenario() -> None:
    assert PracticeSource("wind-pump").setup == scenario("wind-pump").setup


def test_the_same_seed_gives_the_same_items() -> None:
    assert drain(started(turns=1)) == drain(started(turns=1))


def test_bytes_are_handed_out_within_ten_milliseconds() -> None:
    items = drain(started(turns=1))
    assert max(len(item.data) for item in items if isinstance(item, LinkBytes)) <= 500  # at 500000 baud


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(BadInput, match="steam-engine"):
        PracticeSource("steam-engine")


def test_an_unknown_fault_is_refused() -> None:
    with pytest.raises(BadInput, match="rust"):
        PracticeSource("wind-pump", fault="rust")


def test_it_works_where_there_are_no_pseudo_terminals() -> None:
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_TERMINALS], capture_output=True, text=True, check=True, timeout=60
    )
    size, available = done.stdout.split()
    assert (int(size) > 4000, available) == (True, "False")
