"""How long a line may be for a rig's pattern to be done with it in bounded work, told before any line comes.

Python's engine goes over a line in one way after the other until one matches, cannot be interrupted, and lets
no other thread run meanwhile. Here the pattern as the standard library parses it becomes an automaton (after
Glushkov), whose ambiguity bounds the ways: exponential where one state has two ways back to itself over the
same text, else a power of the length that is the longest chain of loops which can share text (Weber and
Seidl, Theoretical Computer Science 88(2), 1991; that backtracking follows it: Weideman et al., CIAA 2016).
Bounds from above: a counted repeat is taken as an endless one. Knows nothing of rigs.
"""

import math
import re
from collections import Counter, defaultdict, deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import product
from re import _constants as ops, _parser as parser  # type: ignore[attr-defined]
from typing import Any

LONGEST = 1000
"""Bytes of the longest line, whatever the pattern."""
SHORTEST = 80
"""A pattern has to do with lines of so many bytes, or it is refused."""
MOST_STEPS = 4e6
"""Steps that one line may cost: less than a tenth of a second (measured: some 20 ns a step)."""
MOST_STATES = 200
"""Characters and classes of characters in a pattern."""
MOST_LOOKED_AT = 200_000
"""Triples of states after which two loops are taken to share text."""
_CHARACTERS = [*map(chr, range(128)), "\ufffd"]
"""What a decoded line is made of: what is no ASCII is one character."""
_ALL = (1 << len(_CHARACTERS)) - 1
_BEGINNINGS = (ops.AT_BEGINNING, ops.AT_BEGINNING_STRING)
_REPEATS = (ops.MAX_REPEAT, ops.MIN_REPEAT, ops.POSSESSIVE_REPEAT)
_CATEGORIES = {
    ops.CATEGORY_DIGIT: r"\d",
    ops.CATEGORY_NOT_DIGIT: r"\D",
    ops.CATEGORY_SPACE: r"\s",
    ops.CATEGORY_NOT_SPACE: r"\S",
    ops.CATEGORY_WORD: r"\w",
    ops.CATEGORY_NOT_WORD: r"\W",
}


class TooManyWays(ValueError):
    """A pattern that may not come to an end, and why in words."""


def longest_line(pattern: re.Pattern[str]) -> int:
    """Return the most bytes a line may have for this pattern, 80 to 1000. Raises TooManyWays."""
    tree = parser.parse(pattern.pattern, pattern.flags & ~re.UNICODE)
    automaton = _Automaton(folds=bool(pattern.flags & re.IGNORECASE or "(?i" in pattern.pattern))
    anchored = bool(len(tree)) and tree[0] == (ops.AT, tree[0][1]) and tree[0][1] in _BEGINNINGS
    automaton.close(automaton.part_of(tree), anchored=anchored and not pattern.flags & re.MULTILINE)
    power = 1 + _Loops(automaton).longest_chain()
    steps = MOST_STEPS / automaton.forks() * math.factorial(power)
    longest = int(min(LONGEST, steps ** (1.0 / power)))
    if longest < SHORTEST:
        raise TooManyWays(
            "there are too many ways over a line: begin it with ^, and let no repeat take what the next one "
            "may take, such as .* before digits"
        )
    return longest


@dataclass
class _Part:
    """A part of a pattern: where it may begin and end, and in how many ways it may be empty."""

    first: Counter[int] = field(default_factory=Counter)
    last: Counter[int] = field(default_factory=Counter)
    empty: int = 1


class _Automaton:
    """States, each of which takes one character; state 0 stands before the match."""

    def __init__(self, *, folds: bool) -> None:
        self.takes = [_ALL]
        """The characters of each state, as bits."""
        self.follow: defaultdict[int, Counter[int]] = defaultdict(Counter)
        """In how many ways each state is followed by another."""
        self.accepting: set[int] = set()
        """States after which everything has matched, whatever comes."""
        self._folds = folds
        self._looks_about = False

    def close(self, whole: _Part, *, anchored: bool) -> None:
        """Begin at the start, or anywhere, and end."""
        if not anchored:
            self.follow[0][0] = 1
        self._join(Counter([0]), whole.first)
        if not self._looks_about:
            self.accepting = set(whole.last)

    def forks(self) -> int:
        """Return in how many ways at most those places may be passed that are passed once."""
        loops = {state: number for number, loop in enumerate(self.loops()) for state in loop}
        ways = 1
        for state in range(len(self.takes)):
            inside = loops.get(state, -1)
            onward = [(to, n) for to, n in self.follow[state].items() if loops.get(to, -2) != inside]
            ways *= max(
                1,
                *(sum(n for to, n in onward if self.takes[to] >> c & 1) for c in range(len(_CHARACTERS))),
            )
        return ways

    def loops(self) -> list[set[int]]:
        """Return the sets of states that lead back to one another, each after those that lead to it."""
        reach = {state: self.reached(state) for state in range(len(self.takes))}
        found = {frozenset(q for q in reach[p] if p in reach[q]) for p in reach if p in reach[p]}
        return [set(loop) for loop in sorted(found, key=lambda loop: -len(reach[min(loop)]))]

    def reached(self, state: int) -> set[int]:
        """Return the states that may come after this one."""
        seen: set[int] = set()
        waiting = [state]
        while waiting:
            for to in self.follow[waiting.pop()]:
                if to not in seen:
                    seen.add(to)
                    waiting.append(to)
        return seen

    def part_of(self, items: Iterable[tuple[Any, Any]]) -> _Part:
        """Add the states of a parsed pattern, or of a part of one."""
        whole = _Part()
        for place, (op, given) in enumerate(items):
            part = self._part(op, given, leading=place == 0)
            self._join(whole.last, part.first)
            whole = _Part(
                whole.first + _times(part.first, whole.empty),
                part.last + _times(whole.last, part.empty),
                whole.empty * part.empty,
            )
        return whole

    def _part(self, op: Any, given: Any, *, leading: bool) -> _Part:
        if op in _REPEATS:
            return self._repeat(*given)
        if op is ops.SUBPATTERN:
            return self.part_of(given[-1])
        if op is ops.ATOMIC_GROUP:
            return self.part_of(given)
        if op is ops.BRANCH:
            parts = [self.part_of(branch) for branch in given[1]]
            return _Part(
                sum((part.first for part in parts), Counter()),
                sum((part.last for part in parts), Counter()),
                sum(part.empty for part in parts),
            )
        if op is ops.AT:
            self._looks_about = self._looks_about or not (leading and given in _BEGINNINGS)
            return _Part()
        if op in (ops.ASSERT, ops.ASSERT_NOT):
            self._looks_about = True
            if _repeats(given[1]):
                raise TooManyWays("it looks ahead or behind over a repeat: leave that out")
            return _Part()
        if op in (ops.GROUPREF, ops.GROUPREF_EXISTS):
            raise TooManyWays("it refers back to a group: write out what is meant")
        self.takes.append(self._characters(op, given))
        if len(self.takes) > MOST_STATES:
            raise TooManyWays(f"it is longer than {MOST_STATES} characters and classes: shorten it")
        state = len(self.takes) - 1
        return _Part(Counter([state]), Counter([state]), 0)

    def _repeat(self, least: int, most: int, items: Any) -> _Part:
        part = self.part_of(items)
        if most > 1:
            if part.empty:
                raise TooManyWays("what is repeated may be empty: take a * or ? off, inside or outside")
            self._join(part.last, part.first)
        return _Part(part.first, part.last, part.empty + (least == 0))

    def _join(self, lasts: Counter[int], firsts: Counter[int]) -> None:
        for (last, n), (first, m) in product(lasts.items(), firsts.items()):
            self.follow[last][first] += n * m

    def _characters(self, op: Any, given: Any) -> int:
        if op is ops.ANY:
            return _ALL
        items = given if op is ops.IN else [(op, given)]
        taken = [any(_takes(item, c) for item in items) for c in _CHARACTERS]
        if self._folds:
            taken = [
                any(_takes(item, form) for item in items for form in (c.lower(), c.upper()))
                for c in _CHARACTERS
            ]
        turned = bool(items) and items[0][0] is ops.NEGATE
        return sum(1 << k for k, inside in enumerate(taken) if inside != turned)


class _Loops:
    """The loops of an automaton, and which of them can share text."""

    def __init__(self, automaton: _Automaton) -> None:
        self._automaton = automaton
        self._looked_at = 0

    def longest_chain(self) -> int:
        """Return the most loops that can share one text, less one. Raises TooManyWays for endless ones."""
        loops = self._automaton.loops()
        for loop in loops:
            self._refuse_two_ways_round(loop)
        chain = [0] * len(loops)
        for later, loop in enumerate(loops):
            if loop <= self._automaton.accepting:
                continue  # once there, it has matched: nothing is tried again
            for earlier in range(later):
                if self._leads(loops[earlier], loop):
                    shared = self._share_text(loops[earlier], loop)
                    chain[later] = max(chain[later], chain[earlier] + shared)
        return max(chain, default=0)

    def _leads(self, one: set[int], other: set[int]) -> bool:
        return not self._automaton.reached(next(iter(one))).isdisjoint(other)

    def _refuse_two_ways_round(self, loop: set[int]) -> None:
        """Raise TooManyWays where a loop has two ways back to one state over the same text."""
        follow = self._automaton.follow
        twice = any(follow[p][q] > 1 for p in loop for q in loop if q in follow[p])
        same: set[tuple[int, ...]] = {(p, p) for p in loop}
        forward = _closure(same, lambda pair: self._steps(pair, (loop, loop)))
        back: defaultdict[tuple[int, ...], list[tuple[int, ...]]] = defaultdict(list)
        for pair in forward:
            for to in self._steps(pair, (loop, loop)):
                back[to].append(pair)
        apart = {pair for pair in _closure(same, lambda pair: back[pair]) if pair[0] != pair[1]}
        if twice or apart:
            raise TooManyWays(
                "a repeat stands inside a repeat, and the two can part the same text between them in more "
                "ways than can ever be tried: let one + or * do"
            )

    def _share_text(self, one: set[int], other: set[int]) -> bool:
        """Tell whether over some text one loop leads round, the other too, and the first to the second."""
        everywhere = set(range(len(self._automaton.takes)))
        for p, q in product(sorted(one), sorted(other)):
            waiting: deque[tuple[int, ...]] = deque([(p, p, q)])
            seen = set(waiting)
            while waiting:
                for to in self._steps(waiting.popleft(), (one, everywhere, other)):
                    if to == (p, q, q):
                        return True
                    if to not in seen:
                        seen.add(to)
                        waiting.append(to)
                        self._looked_at += 1
                if self._looked_at > MOST_LOOKED_AT:
                    return True
        return False

    def _steps(self, states: tuple[int, ...], within: tuple[set[int], ...]) -> Iterator[tuple[int, ...]]:
        """Yield where several states may go at once over one character."""
        takes, follow = self._automaton.takes, self._automaton.follow
        ways = [
            [to for to in follow[state] if to in inside] for state, inside in zip(states, within, strict=True)
        ]
        for to in product(*ways):
            shared = _ALL
            for state in to:
                shared &= takes[state]
            if shared:
                yield to


def _closure(begin: set[Any], steps: Any) -> set[Any]:
    seen, waiting = set(begin), list(begin)
    while waiting:
        for to in steps(waiting.pop()):
            if to not in seen:
                seen.add(to)
                waiting.append(to)
    return seen


def _times(counted: Counter[int], n: int) -> Counter[int]:
    return Counter({state: n * m for state, m in counted.items()}) if n else Counter()


def _repeats(items: Any) -> bool:
    """Tell whether a part of a pattern repeats anything."""
    return any(op in _REPEATS or op in (ops.SUBPATTERN, ops.BRANCH, ops.ATOMIC_GROUP) for op, _ in items)


def _takes(item: tuple[Any, Any], character: str) -> bool:
    """Tell whether one item of a class takes a character."""
    op, given = item
    if op is ops.LITERAL:
        return bool(ord(character) == given)
    if op is ops.NOT_LITERAL:
        return bool(ord(character) != given)
    if op is ops.RANGE:
        return bool(given[0] <= ord(character) <= given[1])
    if op is ops.CATEGORY:
        return given not in _CATEGORIES or re.match(_CATEGORIES[given], character) is not None
    return False
