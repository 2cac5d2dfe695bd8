"""On the screen too the register holds over what is typed of a gauge, at the beginning and at every change."""

import time
from pathlib import Path

import pytest
from running import move_in

from analysis import store
from logger.acquisition import SourceRequest
from logger.live.opening import LiveSession, open_live
from logger.live.state import effects
from logger.settings import load_settings

ENTRY = store.GaugeEntry(id="DI-07", error_mm=0.003, error_means="limits", added="2026-01-01T00:00:00Z")


@pytest.fixture
def live(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> LiveSession:
    move_in(tmp_path, monkeypatch)
    settings = load_settings()
    with store.open_store(settings.store.value) as opened:
        opened.register.add_gauge(ENTRY)
    request = SourceRequest("practice:wind-pump/as-found", patient=True, watched=True)
    return open_live(request, settings, "0", {"gauge_id": "DI-07"}, clock=time.monotonic)


def test_the_register_holds_from_the_first_byte(live: LiveSession) -> None:
    written = live.runtime.session.setup.text
    live.runtime.start()
    live.runtime.close()
    assert (written["gauge_error"], written["gauge_register"]) == ("0.003 mm", "DI-07: agrees")


def test_the_register_holds_over_what_is_typed_later(
    live: LiveSession, monkeypatch: pytest.MonkeyPatch
) -> None:
    written: list[dict[str, str]] = []
    monkeypatch.setattr(live.runtime.worker, "change_setup", lambda text: written.append(dict(text)))
    typed = {**live.runtime.session.setup.text, "gauge_error": "0.001 mm"}
    live.runtime._carry_out(effects.WriteSetup(typed))
    live.runtime.start()
    live.runtime.close()
    (text,) = written
    assert text["gauge_error"] == "0.003 mm"
    assert text["gauge_register"].startswith("DI-07: gauge_error '0.001 mm' was typed")
