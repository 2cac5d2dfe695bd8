from .budget import (
    FEW_VALUES as FEW_VALUES,
    BudgetLine as BudgetLine,
    other_lines as other_lines,
    together_mm as together_mm,
)
from .sweep import (
    SweepUncertainty as SweepUncertainty,
    tir_interval as tir_interval,
    turns_to_decide as turns_to_decide,
    widen_for_uneven_turning as widen_for_uneven_turning,
)
from .tir_limits import limits_of_curve as limits_of_curve
