"""Work counted in steps instead of seconds: lines of the program that ran, values that numpy went over.

Nothing here reads a clock: the same input makes the same number on every machine.
"""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import FrameType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from places import ROOT

OURS = (str(ROOT / "logger"), str(ROOT / "analysis"))


class TooMuchWork(AssertionError):
    """More lines ran than the input is worth."""


@dataclass
class Lines:
    """How many lines of both packages ran."""

    run: int = 0


@contextmanager
def at_most(most: float) -> Iterator[Lines]:
    """Count the lines that run in this thread, and break off where they are more than this."""
    counted = Lines()

    def in_call(frame: FrameType, event: str, _: Any) -> Any:
        return in_line if frame.f_code.co_filename.startswith(OURS) else None

    def in_line(frame: FrameType, event: str, _: Any) -> Any:
        if event == "line":
            counted.run += 1
            if counted.run > most:
                sys.settrace(None)
                raise TooMuchWork(f"more than {most:g} lines ran")
        return in_line

    before = sys.gettrace()
    sys.settrace(in_call)
    try:
        yield counted
    finally:
        sys.settrace(before)


def growth(work: Callable[[int], object], n: int) -> float:
    """Return how many times the lines of ``work(n)`` run for ``work(2 n)``: 2 where it is linear, 4 for squares.

    Broken off where they are more than three times as many.
    """
    with at_most(float("inf")) as once:
        work(n)
    with at_most(3.0 * once.run) as twice:
        work(2 * n)
    return twice.run / once.run


class CountedArray(np.ndarray[Any, np.dtype[np.float64]]):
    """An array that counts over how many values numpy goes that are made from it."""

    values_gone_over = 0

    @classmethod
    def of(cls, values: ArrayLike) -> "CountedArray":
        """Return these values, and begin to count anew."""
        cls.values_gone_over = 0
        return np.asarray(values, np.float64).view(cls)

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **options: Any) -> Any:
        """Count, and do what numpy does."""
        CountedArray.values_gone_over += max(np.size(value) for value in inputs)
        plain = [value.view(np.ndarray) if isinstance(value, CountedArray) else value for value in inputs]
        made = getattr(ufunc, method)(*plain, **options)
        return made.view(CountedArray) if isinstance(made, np.ndarray) else made
