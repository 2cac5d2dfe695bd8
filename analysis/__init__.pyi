from .correction.adjustment import adjust as adjust
from .correction.bolt_positions import hole_positions as hole_positions
from .correction.cut_prediction import predict_cut as predict_cut
from .measurands.check_standard import check_baseline as check_baseline
from .measurands.comparison import compare as compare
from .plots import (
    plot_compare as plot_compare,
    plot_round as plot_round,
    plot_sweep as plot_sweep,
    plot_trend as plot_trend,
)
from .separation.by_position import separate as separate
from .store.opening import open_store as open_store
from .sweep.entered_limit import decide as decide
from .sweep.pipeline import analyse as analyse, fit_sweep as fit_sweep
