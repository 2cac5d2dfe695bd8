"""The history narrowed: by serial, job, stage, state, gauge, who measured and when; and recordings as a whole."""

import pytest
from made_histories import add_sweep, result_of

from analysis.store import HistoryFilter, Store

FILTERS: dict[str, tuple[dict[str, str], set[str]]] = {
    "a serial": ({"serial": "2"}, {"b"}),
    "a job": ({"job": "J-1"}, {"a", "c"}),
    "a stage": ({"stage": "as found"}, {"a"}),
    "within": ({"state": "within"}, {"b"}),
    "over": ({"state": "over"}, {"a"}),
    "no decision, finished": ({"state": "none"}, {"c"}),
    "interrupted": ({"state": "interrupted"}, {"d"}),
    "not finished": ({"state": "running"}, {"e"}),
    "a gauge": ({"gauge": "DI-07"}, {"b", "c"}),
    "an operator": ({"operator": "AB"}, {"c"}),
    "from a day on": ({"since": "2026-03-01"}, {"c", "d", "e"}),
    "up to a day": ({"before": "2026-03-01"}, {"a", "b"}),
    "several at once": ({"job": "J-1", "gauge": "DI-07", "since": "2026-02-01"}, {"c"}),
    "nothing fits": ({"job": "J-1", "serial": "2"}, set()),
    "a gauge nobody has": ({"gauge": "DI"}, set()),
}


def fill(store: Store) -> None:
    over = result_of(0.08, state="over")
    add_sweep(store, "a", "2026-01-02T08:00:00Z", over, job="J-1", stage="as found", serial="1")
    add_sweep(store, "b", "2026-02-28T23:59:59Z", result_of(0.03), serial="2", gauge_id="DI-07")
    undecided = result_of(0.03, limit_mm=None)
    add_sweep(store, "c", "2026-03-01T00:00:00Z", undecided, job="J-1", gauge_id="DI-07", operator="A. B.")
    add_sweep(store, "d", "2026-03-02T08:00:00Z", None)
    store.finish_recording("d", "0" * 64, False, None, {}, "0.1.0")
    add_sweep(store, "e", "2026-03-03T08:00:00Z", None)


@pytest.mark.parametrize("name", FILTERS)
def test_the_history_is_narrowed_by(either: Store, name: str) -> None:
    fill(either)
    only, expected = FILTERS[name]
    assert {row.recording_id for row in either.history("flange", None, HistoryFilter(**only))} == expected


def test_recordings_come_oldest_first_each_once_with_their_newest_analysis(either: Store) -> None:
    fill(either)
    found = either.sweeps(["c", "a", "c", "e"])
    assert [(one.recording_id, one.state, one.serial, one.gauge) for one in found] == [
        ("a", "over", "1", None),
        ("c", None, "", "DI-07"),
        ("e", None, "", None),
    ]
    assert found[0].result == result_of(0.08, state="over")
    assert (found[1].operator, found[2].result) == ("AB", None)
