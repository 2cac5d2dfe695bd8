"""A seat at a bench whose part was turned as often as is planned, the same sweep for every test of a module."""

from collections.abc import Iterator

import pytest
from screens import Seat, practice_seat

from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.display_options import DisplayOptions


@pytest.fixture(scope="module")
def turned(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Seat]:
    """Three full turns of the wind pump as found."""
    seat = practice_seat(tmp_path_factory.mktemp("turned"))
    seat.turn(3)
    yield seat
    seat.close()


@pytest.fixture
def seat(turned: Seat) -> Seat:
    """The same sweep, its window as it is at the beginning."""
    console = turned.console
    console.send(OpenPage("turning"))
    console.options = DisplayOptions()
    console.locked, console.bells, console.prompt, console.over = False, True, None, False
    turned.clock.now_s += 10.0
    return turned
