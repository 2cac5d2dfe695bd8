from .added_orders import (
    HIGHEST_ADDED as HIGHEST_ADDED,
    AddedOrders as AddedOrders,
    find_added_orders as find_added_orders,
)
from .design import (
    Line as Line,
    at_their_orders as at_their_orders,
    contrast_rows as contrast_rows,
    harmonic_rows as harmonic_rows,
    order_rows as order_rows,
)
from .fit import (
    FILLED_DEG as FILLED_DEG,
    default_highest_order as default_highest_order,
    fit_harmonics as fit_harmonics,
    highest_order_together as highest_order_together,
)
from .harmonic_fit import HarmonicFit as HarmonicFit, design_rows as design_rows
from .line_prediction import NEAR_ORDER_ONE as NEAR_ORDER_ONE
from .lines_of_sweep import (
    REACH as REACH,
    BelievedLines as BelievedLines,
    believed_lines as believed_lines,
    orders_and_lines as orders_and_lines,
)
from .plan import FitPlan as FitPlan
from .sweep_sums import SweepSums as SweepSums
from .turn_residuals import TurnFits as TurnFits, TurnResiduals as TurnResiduals
from .turn_sums import (
    ReferenceCurve as ReferenceCurve,
    SumsAtCounts as SumsAtCounts,
    TurnSums as TurnSums,
    reduce_turn as reduce_turn,
    whole_counts as whole_counts,
    whole_number_of_counts as whole_number_of_counts,
)
