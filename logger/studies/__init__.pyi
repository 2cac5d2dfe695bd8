from .cut_study import (
    CARD_LENGTHS as CARD_LENGTHS,
    CutStudy as CutStudy,
    PassCheck as PassCheck,
    between_passes as between_passes,
    card_of as card_of,
    check_tracks as check_tracks,
    predict as predict,
    study_cut as study_cut,
)
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
