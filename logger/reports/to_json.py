"""Values as JSON knows them: not-a-number and infinity as null, members of an enum by their word."""

import math
from collections.abc import Mapping
from enum import Enum
from typing import Any


def to_json(result: Mapping[str, Any]) -> dict[str, Any]:
    """Return one JSON object, whatever lies in it: arrays and tuples as lists, what cannot be had as null."""
    return {str(key): _plain(value) for key, value in result.items()}


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return to_json(value)
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, Enum):
        return value.value
    if hasattr(value, "tolist"):
        return _plain(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value
