from .budget import (
    FEW_VALUES as FEW_VALUES,
    SET_BY_EYE as SET_BY_EYE,
    lines_of_form as lines_of_form,
    other_lines as other_lines,
    together_mm as together_mm,
)
from .first_order import FirstOrderEstimate as FirstOrderEstimate
from .form_of_points import Points as Points
from .gauge_budget import (
    GIVEN_AS as GIVEN_AS,
    OF_A_GAUGE as OF_A_GAUGE,
    BudgetLine as BudgetLine,
    GaugeDeclared as GaugeDeclared,
    LineOn as LineOn,
    LineOrigin as LineOrigin,
    default_error_mm as default_error_mm,
    default_hysteresis_mm as default_hysteresis_mm,
    gauge_error as gauge_error,
    hysteresis as hysteresis,
    reading_u_mm as reading_u_mm,
    set_by_eye as set_by_eye,
    with_lines as with_lines,
)
from .more_turns import turns_to_decide as turns_to_decide
from .noisy_range import PlaceNoise as PlaceNoise, place_noise as place_noise, range_limits as range_limits
from .sweep import SweepUncertainty as SweepUncertainty, tir_interval as tir_interval
from .tir_budget import t975 as t975
from .tir_limits import limits_of_curve as limits_of_curve, without_order_one as without_order_one
from .turning_budget import (
    LAG_OF_GAUGE as LAG_OF_GAUGE,
    averaging as averaging,
    encoder_off_centre as encoder_off_centre,
    mark_by_eye as mark_by_eye,
    play_on_angle as play_on_angle,
    stand_warms as stand_warms,
    two_tips as two_tips,
)
from .uneven_turning import widen_for_uneven_turning as widen_for_uneven_turning
