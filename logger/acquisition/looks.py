"""What a recording is asked_of before its first turn of how often its part is looked at; decides nothing."""

from collections.abc import Callable, Mapping
from pathlib import Path

from analysis import store
from analysis.errors import StoreError
from analysis.setup import Stage

SAME_LOOK = ("serial", "job", "stage", "limit", "limit_quantity", "limit_radius")
"""In which recordings of one part have to agree to be looks at the same question."""


def with_looks(
    text: Mapping[str, str], turns: int | None, where: str | None, say: Callable[[str], None]
) -> dict[str, str]:
    """Return a set-up with its plan of turns, and with the earlier looks at the same part that a store knows.

    Parameters: the set-up as text; the turns asked for (None: no plan); the store (None: none is kept);
    ``say`` gets the words of a store that cannot be read: then nothing is counted. A plan that was written in
    the set-up stands.
    """
    asked_of = {key: value for key, value in text.items() if key != "looks_before"}
    if turns is not None:
        asked_of.setdefault("turns_planned", str(turns))
    if where is None or not asked_of.get("part") or not asked_of.get("limit") or not _is_there(where):
        return asked_of
    try:
        with store.open_store(where) as opened:
            looks = opened.looks_at(asked_of, SAME_LOOK, Stage.AFTER_CUT)
    except StoreError as error:
        say(f"earlier looks at this part are not counted ({error})")
        return asked_of
    return {**asked_of, "looks_before": str(looks)} if looks else asked_of


def _is_there(where: str) -> bool:
    return "://" in where or Path(where).exists()
