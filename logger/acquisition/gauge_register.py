"""The register of gauges applied to a set-up when a recording begins: its newest calibration holds.

What is typed and differs is not used and said; what the register does not say stands as typed.
"""

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from analysis import store
from analysis.errors import StoreError
from analysis.setup import BY_KEY, parse_setup

AGREES = "agrees"
KEY = "gauge_register"


class GaugeRegister:
    """The newest calibrations of the indicators that a store knows, as keys of a set-up."""

    def __init__(self, entries: Iterable["store.GaugeEntry"] = ()) -> None:
        """``entries`` in the order in which they were added; only those of the register count."""
        self._said = {
            one.id: _as_keys(one) for one in entries if one.kind == "indicator" and one.source == "register"
        }

    def applied(self, text: Mapping[str, str]) -> dict[str, str]:
        """Return a set-up in which what the register has of its gauge holds; harmless twice."""
        before = text.get(KEY, "")
        given = {key: value for key, value in text.items() if key != KEY}
        name = given.get("gauge_id", "").strip()
        former, _, _ = before.rpartition(": ") if before.endswith(AGREES) else before.partition(": ")
        if former and former != name:
            # another gauge since: what the register said of that one goes with it
            for key, value in self._said.get(former, {}).items():
                if given.get(key) == value:
                    del given[key]
        held = self._said.get(name)
        if held is None:
            return given
        differing = [
            f"{key} {given[key]!r} was typed and {value!r} is in the register"
            for key, value in held.items()
            if given.get(key, "").strip() and not _same(key, given[key], value)
        ]
        if differing:
            said = "; ".join(differing)
        elif before.startswith(f"{name}: "):
            said = before.removeprefix(f"{name}: ")
        else:
            said = AGREES
        return {**given, **held, KEY: f"{name}: {said}"}


def register_of(where: str | None, say: Callable[[str], None]) -> GaugeRegister:
    """Return the register of a store; an empty one where none can be read, and then ``say`` hears why."""
    if where is None or ("://" not in where and not Path(where).exists()):
        return GaugeRegister()
    try:
        with store.open_store(where) as opened:
            return GaugeRegister(opened.register.gauges())
    except StoreError as error:
        say(f"the register of gauges is not read ({error})")
        return GaugeRegister()


def _as_keys(entry: "store.GaugeEntry") -> dict[str, str]:
    error = {} if entry.error_mm is None else {"gauge_error": f"{entry.error_mm!r} mm"}
    means = {"error_means": entry.error_means} if error and entry.error_means else {}
    table = " ".join(f"{reading!r}:{error_mm!r}" for reading, error_mm in entry.table_mm)
    return {
        **({"gauge_certificate": entry.certificate} if entry.certificate else {}),
        **({"gauge_due": entry.due} if entry.due else {}),
        **({"gauge_table": f"{table} mm"} if table else {}),
        **error,
        **means,
    }


def _same(key: str, typed: str, held: str) -> bool:
    """Tell whether two ways of writing say the same: 3 um is 0.003 mm."""
    field = BY_KEY[key]
    if not field.attribute:
        return typed.strip() == held
    one, other = (getattr(parse_setup({}, {key: text}), field.attribute) for text in (typed, held))
    return bool(one == other)
