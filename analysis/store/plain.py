"""Values made fit to be stored: plain JSON without NaN, numbers without NaN, text every database takes."""

import math
from collections.abc import Mapping
from typing import Any

from analysis.errors import StoreError


def plain_text(text: str) -> str:
    """Return the text with what databases refuse made visible.

    A file name that is not UTF-8 comes with lone surrogates, and a device's text may hold a zero byte.
    """
    return str(text).encode("utf-8", "backslashreplace").decode().replace("\0", "\ufffd")


def plain_number(value: float | None) -> float | None:
    """Return a float, or None for what is not finite: what cannot be had is null, never NaN."""
    if value is None or not math.isfinite(value):
        return None
    return float(value)


def plain_json(value: Any) -> Any:
    """Return the value as JSON holds it: arrays as lists, keys as text, and null for NaN and infinity.

    Raises StoreError for a value that JSON has no form for.
    """
    if hasattr(value, "tolist"):  # numpy's arrays and scalars, without importing numpy
        value = value.tolist()
    if value is None or isinstance(value, bool | int):
        return value
    if isinstance(value, float):
        return plain_number(value)
    if isinstance(value, str):
        return plain_text(value)
    if isinstance(value, Mapping):
        return {plain_text(key): plain_json(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain_json(item) for item in value]
    raise StoreError(
        f"found a {type(value).__name__} among the values to store, expected numbers, text, lists and "
        "mappings: turn it into one of these"
    )
