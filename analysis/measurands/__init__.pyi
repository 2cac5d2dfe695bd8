from .check_standard import (
    CheckBaseline as CheckBaseline,
    CheckRepeats as CheckRepeats,
    check_baseline as check_baseline,
    pooled_repeats as pooled_repeats,
    scatter_of_repeats as scatter_of_repeats,
)
from .comparison import (
    ComparedSweep as ComparedSweep,
    Comparison as Comparison,
    Difference as Difference,
    comparability_check as comparability_check,
    compare as compare,
    in_terms_of_first as in_terms_of_first,
    radius_scale as radius_scale,
    setup_differences as setup_differences,
    turned_to_part as turned_to_part,
)
from .form import Form as Form, forms as forms
from .gear_backlash import Backlash as Backlash, backlash as backlash
from .push_pull_holds import (
    APART as APART,
    FLOATS_WANTED as FLOATS_WANTED,
    HOLD_S as HOLD_S,
    push_pull_floats as push_pull_floats,
)
from .shaft_axis import Axis as Axis, axis_from_planes as axis_from_planes
from .shaft_end_float import EndFloat as EndFloat, end_float as end_float
from .thickness import (
    Thickness as Thickness,
    summed as summed,
    thickness_of_places as thickness_of_places,
    thickness_of_sweep as thickness_of_sweep,
)
