"""Which way angles and holes count: one sentence, the same in every result, in help and in README."""

from analysis.setup import DeclaredEnd, Setup


def angle_direction(setup: Setup) -> str:
    """Return which way angles count.

    The part's angle grows while it turns clockwise seen from the declared end, whatever the encoder's sense
    and whichever way it was turned: the tip then comes to places that lie against the clock from the mark.
    Seen from the other end that is with the clock.
    """
    sense = "against" if setup.declared_end is DeclaredEnd.GAUGE else "with"
    return f"Angles and holes count {sense} the clock from the mark, seen from the indicator."
