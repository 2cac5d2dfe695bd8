"""Hands that walk a guided job at a seat: turn, touch a mark, take a sweep, read the right half of the page."""

from screens import Seat


def turn(seat: Seat, turns: int) -> None:
    """Let so many more full turns of the sweep pass."""
    sweep = seat.console.guide.sweep
    assert sweep is not None
    wanted = len(sweep.turns) + turns
    for _ in range(2400):
        seat.go(0.05, analyse=False)
        sweep = seat.console.guide.sweep
        assert sweep is not None
        if len(sweep.turns) >= wanted:
            return
    raise AssertionError("the turns did not come")


def touch(seat: Seat) -> None:
    """Press SPACE where the part has stood at a mark for two seconds."""
    seat.go(2.0, analyse=False)
    seat.press("space")


def settle(seat: Seat) -> None:
    seat.go(0.2)
    seat.go(0.1)


def go_to(seat: Seat, step: str) -> None:
    """Skip to a step and read its cautions."""
    seat.press("3")
    for _ in range(40):
        guide = seat.console.guide
        assert guide.job is not None
        if guide.phase == "caution":
            seat.press("space")
        elif guide.job.at != step:
            seat.press("k")
        else:
            return


def panel(seat: Seat, width: int = 80, height: int = 24) -> str:
    return " ".join(
        " ".join(line.partition("│")[2].split()) for line in seat.text(width, height).splitlines()
    )


def take(seat: Seat, step: str, turns: int = 2) -> None:
    go_to(seat, step)
    seat.press("space")
    while seat.console.guide.phase in ("mark", "confirm"):
        touch(seat)
    turn(seat, turns)
    seat.press("space")
    settle(seat)
