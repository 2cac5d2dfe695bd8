from .correction.bolt_positions import hole_positions as hole_positions
from .correction.cut_prediction import predict_cut as predict_cut
from .separation.by_position import separate as separate
from .sweep.entered_limit import decide as decide
from .sweep.pipeline import analyse as analyse, fit_sweep as fit_sweep
