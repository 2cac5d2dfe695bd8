from .conformance import conformance_probability as conformance_probability
from .few_points import (
    LAST_DIGIT as LAST_DIGIT,
    blind_spot_sentence as blind_spot_sentence,
    tir_of_few_places as tir_of_few_places,
)
from .looks import (
    ONE_LOOK as ONE_LOOK,
    Z_OF_PLAN as Z_OF_PLAN,
    Looks as Looks,
    at_look as at_look,
    count_looks as count_looks,
)
from .rule import (
    RULE as RULE,
    RULE_TEXT as RULE_TEXT,
    Decidable as Decidable,
    Decision as Decision,
    DecisionState as DecisionState,
    Witness as Witness,
    decide as decide,
    limit_at_track as limit_at_track,
)
