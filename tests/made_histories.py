"""A store with invented results of many days, as recordings would have left them."""

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
    **setup: str,
) -> int:
    """Put one recording of one turn into a store, finished where it has a result; return the turn's number."""
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
    number = store.add_turn(turn(0, recording_id, recorded=started, mark=mark))
    if result is not None:
        decision = result["decision"]
        state = decision["state"] if decision else None
        sha256 = f"{sum(map(ord, recording_id)):064x}"
        store.finish_recording(recording_id, sha256, True, state, result, "0.1.0", numerics=1)
    return number
