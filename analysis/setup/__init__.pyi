from .choices import (
    AngleFrom as AngleFrom,
    ButtonUse as ButtonUse,
    DeclaredEnd as DeclaredEnd,
    ErrorMeans as ErrorMeans,
    GaugeType as GaugeType,
    MarkKind as MarkKind,
    MarkSide as MarkSide,
    Quantity as Quantity,
    Stage as Stage,
    Surface as Surface,
    Turning as Turning,
)
from .field_type import (
    CompareEffect as CompareEffect,
    FieldGroup as FieldGroup,
    FieldKind as FieldKind,
    KeptWith as KeptWith,
    SetupField as SetupField,
)
from .fields import (
    BENCH_KEYS as BENCH_KEYS,
    BY_KEY as BY_KEY,
    CERTIFICATE_KEYS as CERTIFICATE_KEYS,
    FIELDS as FIELDS,
    FORM_FIELDS as FORM_FIELDS,
    KEYS_OF_ONE_SWEEP as KEYS_OF_ONE_SWEEP,
    LIMIT_KEYS as LIMIT_KEYS,
    MARK_KEYS as MARK_KEYS,
    RIG_PREFIX as RIG_PREFIX,
    SAME_MOUNTING_KEYS as SAME_MOUNTING_KEYS,
)
from .parse import (
    make_limit as make_limit,
    parse_holes as parse_holes,
    parse_setup as parse_setup,
    parse_value as parse_value,
)
from .setup import (
    GaugeDelay as GaugeDelay,
    Hole as Hole,
    Limit as Limit,
    Setup as Setup,
    setup_crc32 as setup_crc32,
)
