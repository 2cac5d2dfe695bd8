from .few_points import blind_spot_sentence as blind_spot_sentence, typed_estimate as typed_estimate
from .rule import (
    Decision as Decision,
    DecisionState as DecisionState,
    Estimate as Estimate,
    Witness as Witness,
    decide as decide,
    estimate_with_u as estimate_with_u,
    limit_at_track as limit_at_track,
)
