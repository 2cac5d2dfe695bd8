from .analysed_again import (
    SAME as SAME,
    AnalysedAgain as AnalysedAgain,
    tir_of as tir_of,
    why_moved as why_moved,
    why_same as why_same,
)
from .checks_in_time import (
    CheckChart as CheckChart,
    CheckPoint as CheckPoint,
    check_chart as check_chart,
    fixed_from as fixed_from,
)
from .cut_study import (
    CARD_LENGTHS as CARD_LENGTHS,
    CutStudy as CutStudy,
    PassCheck as PassCheck,
    card_of as card_of,
    predict as predict,
    study_cut as study_cut,
)
from .gauge_in_doubt import Suspect as Suspect, suspects as suspects
from .history_groups import HistoryGroup as HistoryGroup, grouped as grouped
from .lag_study import LagStudy as LagStudy, study_lag as study_lag
from .mountings_study import MountingsStudy as MountingsStudy, study_mountings as study_mountings
from .quantity_in_time import Trend as Trend, TrendPoint as TrendPoint, trend as trend
from .related_sweeps import (
    AtPlane as AtPlane,
    RelatedSweeps as RelatedSweeps,
    at_planes as at_planes,
    axis_of as axis_of,
    relate as relate,
)
from .separation_study import (
    RemountCheck as RemountCheck,
    SeparationStudy as SeparationStudy,
    study_separation as study_separation,
)
