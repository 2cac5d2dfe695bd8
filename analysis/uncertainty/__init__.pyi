from .budget import FEW_VALUES as FEW_VALUES, other_lines as other_lines, together_mm as together_mm
from .first_order import FirstOrderEstimate as FirstOrderEstimate
from .more_turns import turns_to_decide as turns_to_decide
from .sweep import SweepUncertainty as SweepUncertainty, tir_interval as tir_interval
from .tir_budget import t975 as t975
from .tir_limits import limits_of_curve as limits_of_curve
from .uneven_turning import widen_for_uneven_turning as widen_for_uneven_turning
