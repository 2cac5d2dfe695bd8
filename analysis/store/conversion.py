"""Rows of the database as the values that are handed out, and the other way about."""

from collections.abc import Mapping
from typing import Any

from analysis.errors import StoreError
from analysis.store.plain import plain_number
from analysis.store.rows import StoredTurn, TurnRow


def stored_turn(
    row: Any, orders: list[tuple[float, float]], notes: Mapping[str, tuple[str, str]]
) -> StoredTurn:
    """Return a turn of the database with its orders and the newest of its notes by kind."""
    left_out = notes.get("left-out", ("", ""))
    return StoredTurn(
        id=row.id,
        turn=row.turn,
        direction=row.direction,
        recorded=row.recorded,
        part=row.part,
        stage=row.stage,
        rpm=row.rpm,
        tir_raw_mm=row.tir_raw_mm,
        tir_fit_mm=row.tir_fit_mm,
        high_point_deg=row.high_point_deg,
        cos_mm=tuple(cos for cos, _ in orders),
        sin_mm=tuple(sin for _, sin in orders),
        setup=row.setup,
        recording_id=row.recording_id,
        starred=notes.get("star", ("", ""))[0] == "star",
        left_out=left_out[1] if left_out[0] == "left-out" else None,
        mark=row.mark,
    )


def order_rows(row: TurnRow) -> list[dict[str, float | int | None]]:
    """Return one row per order, or refuse: a vector with a hole in it is worse than none."""
    cos_mm = [plain_number(value) for value in row.cos_mm]
    sin_mm = [plain_number(value) for value in row.sin_mm]
    if len(cos_mm) != len(sin_mm) or None in cos_mm or None in sin_mm:
        raise StoreError(
            f"turn {row.turn} of recording {row.recording_id}: found {len(cos_mm)} cosine and {len(sin_mm)} "
            "sine components, expected as many of each and all finite: leave out a turn that has no fit"
        )
    return [
        {"n": order, "cos_mm": a_mm, "sin_mm": b_mm}
        for order, (a_mm, b_mm) in enumerate(zip(cos_mm, sin_mm, strict=True), 1)
    ]
