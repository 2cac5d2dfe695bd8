from .axial_motion import AXIAL_MOTION_TIR_MM as AXIAL_MOTION_TIR_MM, plane_at_radius as plane_at_radius
from .by_position import (
    LARGEST_FACTOR as LARGEST_FACTOR,
    SeparatedOrder as SeparatedOrder,
    Separation as Separation,
    noise_factors as noise_factors,
    separate as separate,
    solving_factors as solving_factors,
)
from .by_reversal import Reversal as Reversal, reversal as reversal
from .combined_budget import (
    LateGauge as LateGauge,
    SweepShare as SweepShare,
    late_gauge as late_gauge,
    lines_of_shares as lines_of_shares,
)
from .combined_curve import first_of as first_of, tir_of as tir_of
from .error_sources import (
    ArborSweep as ArborSweep,
    ErrorSource as ErrorSource,
    ErrorSources as ErrorSources,
    find_error_sources as find_error_sources,
)
from .indicator_sag import without_sag as without_sag
from .opposed_tips import read_together as read_together
from .two_tip_sweep import (
    TwoTips as TwoTips,
    analyse_two_tips as analyse_two_tips,
    checks_of_both_tips as checks_of_both_tips,
)
