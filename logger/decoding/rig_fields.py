"""Every field of a rig file, as rows of the same kind as those of the set-up.

In a rig file ``line.pattern`` is the key ``pattern`` under ``[line]``; in a set-up it is
``rig.line.pattern``, and that of a second port ``rig.second.line.pattern``.
"""

from enum import StrEnum

from analysis.setup import RIG_PREFIX, FieldKind, SetupField


class TimeUnit(StrEnum):
    """Unit of the time on a line."""

    SECONDS = "s"
    MILLISECONDS = "ms"
    MICROSECONDS = "us"

    @property
    def seconds(self) -> float:
        """Seconds per unit."""
        return {TimeUnit.SECONDS: 1.0, TimeUnit.MILLISECONDS: 1e-3, TimeUnit.MICROSECONDS: 1e-6}[self]


class LineCheck(StrEnum):
    """How a line's check is made, over all before it, in hex."""

    CRC16 = "crc16"
    XOR8 = "xor8"
    SUM8 = "sum8"


class DecimalSign(StrEnum):
    """What stands before the decimals."""

    POINT = "."
    COMMA = ","


class Parity(StrEnum):
    """Parity of a port."""

    NONE = "none"
    EVEN = "even"
    ODD = "odd"


RIG_FIELDS = (
    SetupField(
        key="line.pattern",
        kind=FieldKind.TEXT,
        help="regular expression of a line, with named groups out of reading, count, time, unit, check",
        example="(?P<reading>[-+0-9.]+)",
    ),
    SetupField(
        key="line.unit",
        kind=FieldKind.TEXT,
        help="unit of the reading, where no group says it",
        example="in",
        default="mm",
    ),
    SetupField(
        key="line.decimal",
        kind=FieldKind.CHOICE,
        help="what stands before the decimals",
        example=",",
        default=".",
        choices=DecimalSign,
    ),
    SetupField(
        key="line.time_unit",
        kind=FieldKind.CHOICE,
        help="unit of the time on a line",
        example="ms",
        default="us",
        choices=TimeUnit,
    ),
    SetupField(
        key="line.check",
        kind=FieldKind.CHOICE,
        help="how the check of a line is made, in hex over all before it",
        example="crc16",
        choices=LineCheck,
    ),
    SetupField(
        key="line.index",
        kind=FieldKind.TEXT,
        help="regular expression of a line that tells the index mark, with a time group if there is one",
        example="^I$",
    ),
    SetupField(
        key="encoder.counts_per_turn",
        kind=FieldKind.NUMBER,
        help="counts a turn of the encoder on this port",
        example="2400",
        number_unit="counts",
    ),
    SetupField(
        key="encoder.sense",
        kind=FieldKind.TEXT,
        help="kept for the reader of the file; the set-up's own sense is used",
        example="+1",
    ),
    SetupField(
        key="encoder.index",
        kind=FieldKind.TEXT,
        help="the same as line.index, where the index belongs to the encoder",
        example="^I$",
    ),
    SetupField(
        key="port.baud",
        kind=FieldKind.NUMBER,
        help="speed of the port, bits a second",
        example="115200",
        default="9600",
    ),
    SetupField(
        key="port.parity",
        kind=FieldKind.CHOICE,
        help="parity of the port",
        example="even",
        default="none",
        choices=Parity,
    ),
    SetupField(
        key="port.newline",
        kind=FieldKind.TEXT,
        help="what ends a line",
        example="\r\n",
        default="\n",
    ),
    SetupField(
        key="port.send",
        kind=FieldKind.TEXT,
        help="sent once after opening, for devices that want to be asked",
        example="R\r",
    ),
)
RIG_BY_KEY = {field.key: field for field in RIG_FIELDS}
SECOND_PORT = "second."
RIG_KEYS = tuple(f"{RIG_PREFIX}{port}{field.key}" for port in ("", SECOND_PORT) for field in RIG_FIELDS)
"""The keys of a rig as a set-up carries them."""
