"""What a register of gauges does to a set-up when a recording begins: it holds, and what differs is said."""

from pathlib import Path
from typing import Any

import pytest

from analysis import store
from logger.acquisition import GaugeRegister, register_of

ENTERED = "2026-01-01T00:00:00Z"


def entry(**changes: Any) -> store.GaugeEntry:
    known: dict[str, Any] = {
        "id": "DI-07",
        "certificate": "C-4711",
        "due": "2027-01-31",
        "error_mm": 0.003,
        "error_means": "limits",
        "added": ENTERED,
    }
    return store.GaugeEntry(**(known | changes))


HELD = {
    "gauge_certificate": "C-4711",
    "gauge_due": "2027-01-31",
    "gauge_error": "0.003 mm",
    "error_means": "limits",
}


def test_what_the_register_has_is_in_the_set_up() -> None:
    found = GaugeRegister([entry()]).applied({"part": "hub", "gauge_id": "DI-07"})
    assert found == {"part": "hub", "gauge_id": "DI-07", **HELD, "gauge_register": "DI-07: agrees"}


def test_the_newest_calibration_holds() -> None:
    found = GaugeRegister([entry(), entry(certificate="C-5000", error_mm=0.002)]).applied(
        {"gauge_id": "DI-07"}
    )
    assert (found["gauge_certificate"], found["gauge_error"]) == ("C-5000", "0.002 mm")


@pytest.mark.parametrize("text", [{}, {"gauge_id": "DI-08", "gauge_error": "1 um"}])
def test_another_gauge_or_none_stays_as_typed(text: dict[str, str]) -> None:
    assert GaugeRegister([entry()]).applied(text) == text


@pytest.mark.parametrize("source", [{"source": "set-up"}, {"kind": "encoder"}])
def test_only_indicators_that_were_entered_count(source: dict[str, str]) -> None:
    assert GaugeRegister([entry(**source)]).applied({"gauge_id": "DI-07"}) == {"gauge_id": "DI-07"}


@pytest.mark.parametrize("typed", ["3 um", "0,003 mm", "0.003mm"])
def test_the_same_written_otherwise_agrees(typed: str) -> None:
    found = GaugeRegister([entry()]).applied({"gauge_id": "DI-07", "gauge_error": typed})
    assert found["gauge_register"] == "DI-07: agrees"


@pytest.mark.parametrize(
    ("key", "typed", "held"),
    [
        ("gauge_error", "0.005 mm", "0.003 mm"),
        ("gauge_due", "2026-01-31", "2027-01-31"),
        ("error_means", "U95", "limits"),
        ("gauge_certificate", "C-1", "C-4711"),
    ],
)
def test_what_differs_is_said_and_the_register_holds(key: str, typed: str, held: str) -> None:
    found = GaugeRegister([entry()]).applied({"gauge_id": "DI-07", key: typed})
    assert found[key] == held
    assert found["gauge_register"] == f"DI-07: {key} {typed!r} was typed and {held!r} is in the register"


def test_what_the_register_does_not_say_stands_as_typed() -> None:
    register = GaugeRegister([entry(error_mm=None, error_means=None)])
    found = register.applied({"gauge_id": "DI-07", "gauge_error": "0.005 mm"})
    assert (found["gauge_error"], found["gauge_register"]) == ("0.005 mm", "DI-07: agrees")


@pytest.mark.parametrize("typed", ["0.003 mm", "0.005 mm"])
def test_applied_again_it_says_the_same(typed: str) -> None:
    register = GaugeRegister([entry()])
    once = register.applied({"gauge_id": "DI-07", "gauge_error": typed})
    assert register.applied(once) == once


def test_with_another_gauge_goes_what_the_register_said_of_the_one_before() -> None:
    register = GaugeRegister([entry(), entry(id="DI-09", certificate="C-9", error_mm=None)])
    first = register.applied({"gauge_id": "DI-07", "part": "hub"})
    unknown = register.applied({**first, "gauge_id": "DI-08"})
    assert unknown == {"gauge_id": "DI-08", "part": "hub"}
    other = register.applied({**first, "gauge_id": "DI-09", "gauge_error": "1 um"})
    assert (other["gauge_certificate"], other["gauge_error"]) == ("C-9", "1 um")
    assert other["gauge_register"] == "DI-09: agrees"


def test_a_table_comes_back_to_the_last_digit(tmp_path: Path) -> None:
    with store.open_store(tmp_path / "a.db") as opened:
        opened.register.add_gauge(entry(table_mm=((0.0, 0.0), (1.0, 0.1 + 0.2))))
    found = register_of(str(tmp_path / "a.db"), pytest.fail).applied({"gauge_id": "DI-07"})
    assert found["gauge_table"] == "0.0:0.0 1.0:0.30000000000000004 mm"


def test_a_store_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    assert register_of(str(tmp_path / "a.db"), pytest.fail).applied({"gauge_id": "X"}) == {"gauge_id": "X"}
    assert not (tmp_path / "a.db").exists()


def test_a_store_that_cannot_be_read_is_said(tmp_path: Path) -> None:
    (tmp_path / "a.db").write_text("no database at all, whatever its name says it is")
    said: list[str] = []
    assert register_of(str(tmp_path / "a.db"), said.append).applied({"gauge_id": "X"}) == {"gauge_id": "X"}
    assert said[0].startswith("the register of gauges is not read (store ")
