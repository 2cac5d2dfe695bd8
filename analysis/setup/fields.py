"""The one table of the fields of the set-up; parser, form, listings and comparison are derived from its rows.

A new field is one row in the module of its subject.
"""

from analysis.setup.field_type import FieldGroup, KeptWith, SetupField
from analysis.setup.rows_of_encoder import COUNTS, MARK
from analysis.setup.rows_of_gauge import GAUGE
from analysis.setup.rows_of_limit import LIMIT
from analysis.setup.rows_of_part import BUILD, PART, SCREWS

FIELDS: tuple[SetupField, ...] = (*PART, *LIMIT, *BUILD, *MARK, *GAUGE, *SCREWS, *COUNTS)
"""In the order in which forms ask and listings show."""
BY_KEY = {field.key: field for field in FIELDS}
BENCH_KEYS = tuple(field.key for field in FIELDS if field.kept_with is KeptWith.BENCH)
"""What stays with the bench; everything else goes with the part."""
LIMIT_KEYS = tuple(field.key for field in FIELDS if field.group is FieldGroup.LIMIT)
MARK_KEYS = tuple(field.key for field in FIELDS if field.group is FieldGroup.MARK_TOUCHED)
"""What the touch of a mark makes void or tells anew."""
CERTIFICATE_KEYS = tuple(field.key for field in FIELDS if field.group is FieldGroup.CERTIFICATE)
"""What a gauge's certificate says, which the register of gauges may know."""
SAME_MOUNTING_KEYS = tuple(field.key for field in FIELDS if field.same_mounting)
"""In which sweeps have to agree to be of one mounting."""
KEYS_OF_ONE_SWEEP = tuple(field.key for field in FIELDS if field.of_one_sweep)
"""What a practice scenario says of its own sweep, whatever a person typed at the one before."""
FORM_FIELDS = tuple(field for field in FIELDS if field.label)
"""What the form on the screen asks for, in this order."""
RIG_PREFIX = "rig."
"""Keys that begin so describe a gauge that is no board of ours; their rows stand where rigs are read."""
