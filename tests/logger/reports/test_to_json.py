"""Everything becomes what JSON knows."""

import json
import math
from enum import Enum, StrEnum
from typing import Any

import numpy as np
import pytest

from logger.reports.to_json import to_json


class Colour(StrEnum):
    """A closed set of words."""

    RED = "red"


class Count(Enum):
    """A closed set of numbers."""

    TWO = 2


PLAIN = {
    "an array": (np.array([1.0, np.nan]), [1.0, None]),
    "a number of numpy": (np.float64(0.5), 0.5),
    "a whole number of numpy": (np.int16(3), 3),
    "a truth of numpy": (np.bool_(True), True),
    "infinity": (-math.inf, None),
    "a pair": ((1, 2.0), [1, 2.0]),
    "a key that is no text": ({4: np.nan}, {"4": None}),
    "a member of a set of words": (Colour.RED, "red"),
    "a member of a set of numbers": (Count.TWO, 2),
    "nothing": (None, None),
    "text": ("nan", "nan"),
    "deep down": ({"a": [{"b": (math.nan,)}]}, {"a": [{"b": [None]}]}),
}


@pytest.mark.parametrize(("value", "plain"), PLAIN.values(), ids=PLAIN)
def test_everything_becomes_plain(value: Any, plain: Any):
    got = to_json({"a": value})
    assert got == {"a": plain}
    assert type(got["a"]) is type(plain)


def test_keys_stay_in_their_order():
    assert json.dumps(to_json({"b": 1, "a": {"z": 2, "y": 3}})) == '{"b": 1, "a": {"z": 2, "y": 3}}'


def test_a_value_nobody_wrote_out_is_no_json():
    with pytest.raises(TypeError):
        json.dumps(to_json({"a": object()}))
