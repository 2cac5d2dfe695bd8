"""Patterns that may never come to an end are refused; the others come to it over any line that is let through."""

import random
import re
from collections.abc import Callable, Iterator
from itertools import product
from re import _constants as ops, _parser as parser  # type: ignore[attr-defined]
from typing import Any

import pytest

from logger.decoding.pattern_work import LONGEST, TooManyWays, longest_line

USUAL = [
    r"^(?P<time>\d+) (?P<count>-?\d+) (?P<reading>-?\d+\.\d+)$",
    r"^\s*(?P<time>\d+)\s+(?P<count>-?\d+)\s+(?P<reading>[-+0-9.]+)\s*$",
    r"^S \d+ (?P<time>\d+) (?P<count>-?\d+) (?P<reading>-?\d+) \d+\*(?P<check>[0-9A-F]{4})$",
    r"(?P<reading>[-+0-9.]+)",
    r"(?P<reading>[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?)\s*(?P<unit>mm|in|inch|um)?",
    r"^(?:[^,]*,){3}(?P<reading>[^,]*),",
    r"^(?P<reading>\d{1,3}(?:,\d{3})*)$",
    r"^I$",
]
LESS = {
    r"(?P<reading>-?\d+\.?\d*) *mm": 288,
    r".*?(?P<reading>-?\d+\.\d+).*": 228,
    r"(?i)[a-z]+[A-Z]+(?P<reading>\d)": 288,
}
ENDLESS = {
    r"^(a+)+(?P<reading>\d+)$": "a repeat stands inside a repeat",
    r"(?P<reading>-?(\d+\.?\d*)+) *mm$": "a repeat stands inside a repeat",
    r"(?P<reading>(\d|\d\d)+)x": "a repeat stands inside a repeat",
    r"(\w+\s?)*(?P<reading>\d)$": "a repeat stands inside a repeat",
    r"(.*a){20}(?P<reading>\d)": "a repeat stands inside a repeat",
    r"(a?){30}a{30}(?P<reading>\d)": "what is repeated may be empty",
    r"(\s*)*(?P<reading>\d)": "what is repeated may be empty",
    "a?" * 30 + "a" * 30 + r"(?P<reading>\d)": "too many ways over a line",
    r".*.*.*.*(?P<reading>\d)x": "too many ways over a line",
    r"(?=a+)(?P<reading>\d)": "looks ahead or behind over a repeat",
    r"(?P<reading>\d)(?P=reading)": "refers back to a group",
    "a" * 300 + r"(?P<reading>\d)": "longer than 200",
}


@pytest.mark.parametrize("pattern", USUAL)
def test_usual_patterns_take_every_line(pattern: str):
    assert longest_line(re.compile(pattern)) == LONGEST


@pytest.mark.parametrize(("pattern", "longest"), LESS.items())
def test_the_more_ways_over_a_line_the_shorter_it_has_to_be(pattern: str, longest: int):
    # Some n^3 / 6 ways over n characters, and 4 million steps: 288.
    assert longest_line(re.compile(pattern)) == longest


@pytest.mark.parametrize(("pattern", "why"), ENDLESS.items())
def test_patterns_that_may_never_come_to_an_end_are_refused(pattern: str, why: str):
    with pytest.raises(TooManyWays, match=why):
        longest_line(re.compile(pattern))


@pytest.mark.parametrize("pattern", [*USUAL, *LESS])
def test_what_is_let_through_comes_to_an_end_over_every_line_that_is(pattern: str):
    compiled = re.compile(pattern)
    longest = longest_line(compiled)
    for text in map("".join, product("1.- ,a", repeat=2)):
        compiled.search((text * longest)[: longest - 1] + "!")


# --- against a plain matcher that counts its steps -------------------------------------------------------------

MOST = 60_000
"""Steps over 22 characters: three loops that share them take some 22^3 / 6, an endless pattern 2^22."""

Matcher = Callable[[str, int], Iterator[int]]


class TooManySteps(AssertionError):
    """The plain matcher went over a line in too many ways."""


def random_pattern(rng: random.Random, depth: int = 4) -> str:
    kind = rng.choice("c" if depth == 0 else "cssaar?")
    if kind == "c":
        return rng.choice(["a", "b", "[ab]", "."])
    one, other = random_pattern(rng, depth - 1), random_pattern(rng, depth - 1)
    return {"s": one + other, "a": f"(?:{one}|{other})", "?": f"(?:{one})?", "r": f"(?:{one})*"}[kind]


class Plain:
    """A pattern, gone over a line as an engine does: one way after another, until one matches."""

    def __init__(self, pattern: str) -> None:
        self.steps = 0
        self._pattern = pattern
        self._match = self._sequence(list(parser.parse(pattern)))

    def search(self, line: str) -> None:
        self.steps = 0
        for start in range(len(line)):
            for _ in self._match(line, start):
                return

    def _sequence(self, items: list[Any]) -> Matcher:
        if not items:
            return lambda _, at: iter([at])
        first, rest = self._one(*items[0]), self._sequence(items[1:])
        return lambda line, at: (end for mid in first(line, at) for end in rest(line, mid))

    def _one(self, op: Any, given: Any) -> Matcher:
        if op is ops.SUBPATTERN:
            return self._sequence(list(given[-1]))
        if op is ops.BRANCH:
            branches = [self._sequence(list(branch)) for branch in given[1]]
            return lambda line, at: (end for branch in branches for end in branch(line, at))
        if op is not ops.MAX_REPEAT:
            return self._character("ab" if op is ops.ANY else chr(given) if op is ops.LITERAL else given)
        part, most = self._sequence(list(given[2])), given[1]

        def again(line: str, at: int, done: int = 0) -> Iterator[int]:
            self._step()
            for mid in part(line, at) if done < most else ():
                if mid > at:
                    yield from again(line, mid, done + 1)
            yield at

        return again

    def _character(self, taken: Any) -> Matcher:
        texts = taken if isinstance(taken, str) else [chr(one) for _, one in taken]

        def one(line: str, at: int) -> Iterator[int]:
            self._step()
            if line[at : at + 1] in texts and at < len(line):
                yield at + 1

        return one

    def _step(self) -> None:
        self.steps += 1
        if self.steps > MOST:
            raise TooManySteps(self._pattern)


def test_a_plain_matcher_is_done_with_whatever_is_let_through():
    let_through = endless = too_many = 0
    lines = ["a" * 22, "b" * 22, "ab" * 11, "aab" * 7]
    rng = random.Random(1)
    for _ in range(600):
        pattern = random_pattern(rng) + rng.choice(["", "c"])
        plain = Plain(pattern)
        try:
            longest_line(re.compile(pattern))
        except TooManyWays:
            endless += 1
            try:
                for line in lines:
                    plain.search(line)
            except TooManySteps:
                too_many += 1
        else:
            let_through += 1
            for line in lines:
                plain.search(line)
    # All kinds are many, or this test says nothing; of those refused many are as bad as they may be.
    assert (let_through > 200, endless > 100, too_many > 30) == (True, True, True)
