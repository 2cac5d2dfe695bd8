"""The words a set-up may choose from, one enum a field; a member is the word as it is written in files."""

from enum import StrEnum


class Surface(StrEnum):
    """Which surface of the part the tip is on."""

    FACE = "face"
    OUTSIDE = "outside"
    BORE = "bore"


class Stage(StrEnum):
    """Where in a job a sweep stands."""

    AS_FOUND = "as found"
    END_FLOAT = "end float"
    ON_THE_LATHE = "on the lathe"
    AFTER_CUT = "after cut"
    HALF_TURN = "half turn"
    AS_LEFT = "as left"
    CHECK_STANDARD = "check standard"
    EXERCISE = "exercise"
    OTHER = "other"

    @property
    def on_lathe(self) -> bool:
        """True where the part turns in the lathe's spindle and not in its own bearings."""
        return self in (Stage.ON_THE_LATHE, Stage.AFTER_CUT, Stage.HALF_TURN)


class DeclaredEnd(StrEnum):
    """The end of the part from which clockwise is told."""

    GAUGE = "gauge"
    FAR = "far"


class CountSense(StrEnum):
    """How the encoder's counts go while the part turns clockwise."""

    RISING = "+1"
    FALLING = "-1"


class MarkKind(StrEnum):
    """What tells that the mark stands under the tip."""

    EVENT = "event"
    INDEX = "index"


class MarkSide(StrEnum):
    """Whose mark: the part's, or that of the arbor (spindle) it sits on."""

    PART = "part"
    ARBOR = "arbor"


class ButtonUse(StrEnum):
    """What a button of the board does."""

    NEXT = "next"
    MARK = "mark"


class GaugeType(StrEnum):
    """How the indicator's tip moves."""

    PLUNGER = "plunger"
    LEVER = "lever"


class ErrorMeans(StrEnum):
    """What a certificate's figure is: limits of error, expanded (k = 2) or standard uncertainty."""

    LIMITS = "limits"
    U95 = "U95"
    U = "u"


class Turning(StrEnum):
    """What goes round: the part, or the indicator that is carried round it."""

    PART = "part"
    INDICATOR = "indicator"


class AngleFrom(StrEnum):
    """Where the angle shall come from; ``auto`` = the encoder, else index pulses."""

    AUTO = "auto"
    ENCODER = "encoder"
    INDEX = "index"
    STOPS = "stops"
    STEADY = "steady"


class Quantity(StrEnum):
    """What a limit is of."""

    TIR = "tir"
    TIR_FIRST = "tir_first"
    ECCENTRICITY = "eccentricity"
    TILT = "tilt"
    FORM = "form"
    TOTAL = "total"
    THICKNESS = "thickness"
    END_FLOAT = "end_float"
