from .as_json.studies import (
    adjustment_object as adjustment_object,
    axis_object as axis_object,
    card_object as card_object,
    comparison_object as comparison_object,
    form_object as form_object,
    holes_object as holes_object,
    mounting_object as mounting_object,
    orders_object as orders_object,
    separation_object as separation_object,
    together_object as together_object,
    two_tips_object as two_tips_object,
)
from .as_json.sweep import sweep_object as sweep_object
from .as_text.measurands import (
    GATE_WORDS as GATE_WORDS,
    backlash_text as backlash_text,
    end_float_text as end_float_text,
    thickness_text as thickness_text,
    torque_text as torque_text,
)
from .as_text.related_sweeps import (
    axis_text as axis_text,
    together_text as together_text,
    two_tips_text as two_tips_text,
)
from .as_text.separation import separation_text as separation_text
from .as_text.studies import (
    adjustment_text as adjustment_text,
    card_lines as card_lines,
    comparison_text as comparison_text,
    doubts as doubts,
    form_text as form_text,
    holes_text as holes_text,
    limit_words as limit_words,
    plan_text as plan_text,
    prediction_sentence as prediction_sentence,
)
from .as_text.sweep import (
    STATE_WORDS as STATE_WORDS,
    answer_sentence as answer_sentence,
    place_in_words as place_in_words,
    printable as printable,
    sweep_text as sweep_text,
    trust_lines as trust_lines,
)
