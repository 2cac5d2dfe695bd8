"""The store on a PostgreSQL server that the tests start: made by several at once, written, lost and found again."""

import postgres_server
import pytest
from store_rows import let_go, recording, start, turn, wait_here

from analysis.errors import StoreError
from analysis.store import StoredRecording, open_store

pytestmark = [postgres_server.NEEDED, pytest.mark.slow]

ROUNDS = 6
BENCHES = 3

OPENER = """
import sys
from analysis.store import open_store
import alembic.command, psycopg, analysis.store.upgrade
for url in sys.argv[1:]:
    print("here", flush=True)
    sys.stdin.readline()
    open_store(url).close()
print("all opened", flush=True)
"""

WRITER = """
import sys
from analysis.store import open_store
from store_rows import recording, turn
with open_store(sys.argv[1]) as store:
    print("here", flush=True)
    sys.stdin.readline()
    store.begin_recording(recording())
    print([store.add_turn(turn(number)) for number in range(40)])
"""


TWO_HUNDRED = """
import sys
from analysis.store import open_store
import analysis.store.upgrade
from store_rows import recording, turn
print("here", flush=True)
sys.stdin.readline()
with open_store(sys.argv[1]) as store:
    store.begin_recording(recording(sys.argv[2], part=sys.argv[2]))
    for number in range(200):
        print(store.add_turn(turn(number, sys.argv[2])))
"""

NAMES_THE_SAME = """
import sys
from analysis.store import open_store
from store_rows import recording
setup = {"part": "flange", "gauge_id": "DI-07", "operator": "AB"}
with open_store(sys.argv[1]) as store:
    print("here", flush=True)
    sys.stdin.readline()
    for number in range(20):
        store.begin_recording(recording(f"r-{sys.argv[2]}-{number}", setup=setup))
print("done")
"""


def test_an_empty_store_is_made_by_several_at_once(server: postgres_server.Server) -> None:
    urls = [server.make_database(f"at_once_{number}") for number in range(ROUNDS)]
    benches = [start(OPENER, *urls) for _ in range(BENCHES)]
    for _ in urls:
        for bench in benches:  # each stands before the same empty store
            wait_here(bench)
        for bench in benches:
            let_go(bench)
    assert [bench.communicate()[0] for bench in benches] == ["all opened\n"] * BENCHES
    for url in urls:
        with open_store(url) as opened:
            assert opened.history() == []


def test_turns_and_result_come_back(server: postgres_server.Server) -> None:
    url = server.make_database("kept")
    with open_store(url) as store:
        store.begin_recording(recording())
        numbers = [store.add_turn(turn(number, tir_fit_mm=0.1 + 0.2)) for number in range(3)]
        store.finish_recording("r-1", "c" * 64, True, "over", {"runout": "face"}, "0.1.0")
    with open_store(url) as store:
        rows = store.history("flange")
        assert [(row.id, row.tir_fit_mm, row.state, row.ended) for row in rows] == [
            (number, 0.1 + 0.2, "over", "closed") for number in numbers
        ]
        assert [one.cos_mm for one in store.stored_turns()] == [(0.1, 0.2, 0.3)] * 3
        assert store.stored_recording("r-1") == StoredRecording("c" * 64, "over", 3)


def test_two_that_add_one_recording_at_once_add_it_and_each_turn_once(server: postgres_server.Server) -> None:
    url = server.make_database("twice")
    writers = [start(WRITER, url) for _ in range(2)]
    for writer in writers:
        wait_here(writer)
    for writer in writers:
        let_go(writer)
    first, second = [writer.communicate()[0] for writer in writers]
    assert first == second
    with open_store(url) as store:
        assert len(store.history()) == 40


def test_two_writers_of_200_turns_each_lose_nothing(server: postgres_server.Server) -> None:
    url = server.make_database("two_writers")
    writers = [start(TWO_HUNDRED, url, name) for name in ("left", "right")]
    for writer in writers:  # both open the store that is not there at once
        wait_here(writer)
    for writer in writers:
        let_go(writer)
    reported = [[int(line) for line in writer.communicate()[0].split()] for writer in writers]
    with open_store(url) as store:
        for name, numbers in zip(("left", "right"), reported, strict=True):
            assert [row.id for row in store.history(name)] == numbers
            assert len(numbers) == 200
        assert {part.number: part.recordings for part in store.register.parts()} == {"left": 1, "right": 1}


def test_what_every_writer_names_is_entered_once(server: postgres_server.Server) -> None:
    url = server.make_database("named_once")
    open_store(url).close()
    writers = [start(NAMES_THE_SAME, url, number) for number in range(BENCHES)]
    for writer in writers:
        wait_here(writer)
    for writer in writers:
        let_go(writer)
    assert [writer.communicate()[0] for writer in writers] == ["done\n"] * BENCHES
    with open_store(url) as store:
        assert [(part.number, part.recordings) for part in store.register.parts()] == [
            ("flange", BENCHES * 20)
        ]
        assert [job.number for job in store.register.jobs()] == ["7"]
        assert [(one.id, use.recordings) for one, use in store.register.calibrations("DI-07")] == [
            ("DI-07", BENCHES * 20)
        ]


def test_a_server_that_is_gone_is_told_and_serves_again_when_it_is_back(
    server: postgres_server.Server,
) -> None:
    url = server.make_database("back_again")
    store = open_store(url)
    store.begin_recording(recording())
    server.stop()
    try:
        with pytest.raises(StoreError, match="expected a store that answers"):
            store.add_turn(turn(0))
        with pytest.raises(StoreError, match="expected a store that answers"):
            open_store(url)
    finally:
        server.start()
    store.close()
    with open_store(url) as again:
        again.begin_recording(recording())
        again.add_turn(turn(0))
        assert [row.recording_id for row in again.history()] == ["r-1"]
