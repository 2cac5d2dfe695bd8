from .budget import FEW_VALUES as FEW_VALUES, other_lines as other_lines, together_mm as together_mm
from .first_order import FirstOrderEstimate as FirstOrderEstimate
from .sweep import (
    SweepUncertainty as SweepUncertainty,
    t975 as t975,
    tir_interval as tir_interval,
    turns_to_decide as turns_to_decide,
    widen_for_uneven_turning as widen_for_uneven_turning,
)
from .tir_limits import limits_of_curve as limits_of_curve
