"""A store with invented results of many days, as recordings would have left them."""

import math
from collections.abc import Sequence
from typing import Any

from store_rows import recording, turn

from analysis.store import Store


def result_of(
    tir_mm: float,
    first_mm: complex = 0.1 + 0.02j,
    *,
    limit_mm: float | None = 0.05,
    state: str = "within",
    half_mm: float = 0.002,
) -> dict[str, Any]:
    """Return the object of a sweep with the keys that are asked of a store."""
    decision = None
    if limit_mm is not None:
        decision = {
            "quantity": "tir",
            "value_mm": tir_mm,
            "u_mm": half_mm / 2.0,
            "interval_mm": [tir_mm - 2 * half_mm, tir_mm + 2 * half_mm],
            "limit_mm": limit_mm,
            "limit_as_written": f"{limit_mm:.3f} mm",
            "state": state,
        }
    return {
        "setup": {"part": "flange"},
        "pooled": {
            "turns": 1,
            "tir_fit_mm": tir_mm,
            "tir_fit_95_mm": [tir_mm - half_mm, tir_mm + half_mm],
            "tir_first_mm": 2.0 * abs(first_mm),
            "high_point_deg": 12.0,
            "orders": [{"n": 1, "cos_mm": first_mm.real, "sin_mm": first_mm.imag}],
        },
        "checks": [],
        "decision": decision,
    }


def add_sweep(
    store: Store,
    recording_id: str,
    started: str,
    result: dict[str, Any] | None,
    *,
    mark: str | None = "m-1",
    turns_mm: Sequence[complex] = (),
    **setup: str,
) -> int:
    """Put one recording into a store, finished where it has a result; return its last turn's number.

    It has one turn, or one for each first order that is named.
    """
    text = {"part": "flange", "stage": "as left", **setup}
    store.begin_recording(
        recording(
            recording_id,
            file=f"/gone/{recording_id}.mcap",
            started=started,
            part=text["part"],
            job=text.get("job", ""),
            stage=text["stage"],
            setup=text,
        )
    )
    number = 0
    for k, z in enumerate(turns_mm or [0.1 - 0.1j]):
        vector = {"highest_order": 1, "cos_mm": [z.real], "sin_mm": [z.imag]} if turns_mm else {}
        number = store.add_turn(turn(k, recording_id, recorded=started, mark=mark, **vector))
    if result is not None:
        decision = result["decision"]
        state = decision["state"] if decision else None
        sha256 = f"{sum(map(ord, recording_id)):064x}"
        store.finish_recording(recording_id, sha256, True, state, result, "0.1.0", numerics=1)
    return number


RING = "check ring"
BASELINE = tuple(
    0.015 + 0.004j + complex(0.0006 * math.cos(2.4 * k), 0.0006 * math.sin(1.7 * k)) for k in range(12)
)
"""First order on twelve days, mm; invented."""


def add_checks(
    store: Store, z_mm: Sequence[complex], month: int, turns: Sequence[Sequence[complex]] = (), **setup: str
) -> None:
    """Put checks of the ring into a store, one a day from the first of a month on, each with its turns."""
    for day, z in enumerate(z_mm, 1):
        add_sweep(
            store,
            f"ring-{month:02d}-{day:02d}",
            f"2026-{month:02d}-{day:02d}T08:12:00Z",
            result_of(2 * abs(z), z, limit_mm=None),
            part=RING,
            turns_mm=turns[day - 1] if turns else (),
            **{"stage": "check standard", **setup},
        )
