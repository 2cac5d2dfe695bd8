from .choices import (
    AngleFrom as AngleFrom,
    ButtonUse as ButtonUse,
    MarkKind as MarkKind,
    MarkSide as MarkSide,
    Quantity as Quantity,
    Stage as Stage,
    Surface as Surface,
    Turning as Turning,
)
from .setup import (
    CHOICES as CHOICES,
    DEFAULTS as DEFAULTS,
    RIG_PREFIX as RIG_PREFIX,
    Hole as Hole,
    Limit as Limit,
    Setup as Setup,
    make_limit as make_limit,
    parse_holes as parse_holes,
    parse_setup as parse_setup,
    setup_crc32 as setup_crc32,
)
