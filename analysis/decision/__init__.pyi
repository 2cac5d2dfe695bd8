from .few_points import (
    LAST_DIGIT as LAST_DIGIT,
    blind_spot_sentence as blind_spot_sentence,
    tir_of_few_places as tir_of_few_places,
)
from .rule import (
    RULE as RULE,
    Decision as Decision,
    DecisionState as DecisionState,
    Witness as Witness,
    decide as decide,
    limit_at_track as limit_at_track,
)
