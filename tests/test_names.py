"""Nothing that is defined here bears a word whose meaning has to be learnt here: names are the trade's.

The words of retired_names.txt stood for other things once and are retired: modules, classes, functions, parameters,
attributes and every variable are looked at, in both packages and in the tests. Words that people read (events,
JSON keys, commands) are promises and stand elsewhere (tests/promises).
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from places import ROOT

RETIRED = frozenset((ROOT / "tests" / "retired_names.txt").read_text("utf-8").split())
RETIRED_IN = {"Worker": {"note", "set_up", "words"}, "Recorder": {"note", "words"}, "TurnStore": {"note"}}
"""Plain words that were retired for the members of one class only."""
RETIRED_AS_FUNCTIONS = {"answer", "study", "tell"}
"""Plain words that say nothing as the name of what is done; as a value's name they are what they say."""
OF_A_PROTOCOL = {("_Disk", "tell")}
"""What a file has to be called by."""
SAID_BY_A_PROMISE = {"logger/commands/learn_encoder.py", "logger/commands/run/learn_encoder.py"}
"""Modules that are found by the name of their command."""


def defined(tree: ast.Module) -> Iterator[tuple[str, str, int]]:
    """Yield (class whose member it is or nothing, name, line) of everything that a module gives a name to."""

    def visit(node: ast.AST, inside: str) -> Iterator[tuple[str, str, int]]:
        for child in ast.iter_child_nodes(node):
            here = inside
            match child:
                case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name):
                    yield inside, name, child.lineno
                    if name in RETIRED_AS_FUNCTIONS and (inside, name) not in OF_A_PROTOCOL:
                        yield inside, f"{name}()", child.lineno
                    # What a method keeps to itself is no member of its class; what __init__ sets is one.
                    here = inside if name == "__init__" else ""
                case ast.ClassDef(name=name):
                    yield inside, name, child.lineno
                    here = name
                case ast.arg(arg=name):
                    yield "", name, child.lineno
                case ast.Attribute(attr=name, ctx=ast.Store()) | ast.Name(id=name, ctx=ast.Store()):
                    yield inside, name, child.lineno
                case ast.MatchAs(name=str(name)) | ast.MatchStar(name=str(name)):
                    yield "", name, child.lineno
                case ast.alias(asname=str(name)):
                    yield "", name, child.lineno
            yield from visit(child, here)

    yield from visit(tree, "")


def retired(path: Path, tree: ast.Module) -> Iterator[str]:
    """Yield one line for every retired word that a module defines or is called."""
    if path.stem in RETIRED and path.as_posix() not in SAID_BY_A_PROMISE:
        yield f"{path}: the module itself"
    for inside, name, line in defined(tree):
        if name in RETIRED or name.endswith("()") or name in RETIRED_IN.get(inside, ()):
            yield f"{path}:{line}: {name}"


@pytest.mark.parametrize("top", ["analysis", "logger", "tests"])
def test_nothing_bears_a_retired_name(top: str) -> None:
    found = [
        line
        for path in sorted((ROOT / top).rglob("*.py"))
        for line in retired(path.relative_to(ROOT), ast.parse(path.read_text("utf-8")))
    ]
    assert found == []


@pytest.mark.parametrize(
    "source",
    [
        "class Desk: pass",
        "def told(): pass",
        "def f(stepped): pass",
        "class A:\n def f(self): self.desk = 1",
        "class A:\n way: int = 1",
        "ORDERS = 1",
        "class Worker:\n def note(self): pass",
        "def study(): pass",
        "def f():\n told = 1",
        "def f():\n for told in (): pass",
        "def f(x):\n match x:\n  case [told]: pass",
        "from logger import spoken as told",
    ],
)
def test_a_retired_name_is_found_wherever_it_is_defined(source: str) -> None:
    assert len(list(retired(Path("logger/new.py"), ast.parse(source)))) == 1


@pytest.mark.parametrize(
    "source",
    [
        "class A:\n def note(self): pass",
        "class Worker:\n def take(self):\n  note = 1",
        "study = 1",
        "x = {'told': 1}",
    ],
)
def test_words_of_other_places_pass(source: str) -> None:
    assert list(retired(Path("logger/new.py"), ast.parse(source))) == []
