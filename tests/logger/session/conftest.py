"""The scripted board of the tests of a session."""

import pytest
from boards import ScriptedBoard


@pytest.fixture
def board() -> ScriptedBoard:
    """One that has said hello and described channel 0."""
    made = ScriptedBoard()
    made.greet()
    made.describe()
    return made
