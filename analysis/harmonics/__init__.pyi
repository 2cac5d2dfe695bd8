from .asynchronous_lines import (
    CLEAR_P as CLEAR_P,
    LIKELY_P as LIKELY_P,
    MOST_LINES as MOST_LINES,
    find_lines as find_lines,
)
from .fit import (
    HarmonicFit as HarmonicFit,
    Line as Line,
    default_highest_order as default_highest_order,
    design_rows as design_rows,
    fit_harmonics as fit_harmonics,
    harmonic_rows as harmonic_rows,
)
from .plan import FitPlan as FitPlan
