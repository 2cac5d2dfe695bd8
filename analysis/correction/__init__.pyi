from .adjustment import (
    Adjustment as Adjustment,
    Move as Move,
    adjust as adjust,
    reading_to_reach_mm as reading_to_reach_mm,
    still_to_turn_mm as still_to_turn_mm,
)
from .bolt_positions import (
    HolePositions as HolePositions,
    Position as Position,
    hole_positions as hole_positions,
    positions_from_assembled as positions_from_assembled,
)
from .cut_plan import (
    CutPlan as CutPlan,
    Track as Track,
    depth_at as depth_at,
    plan_cut as plan_cut,
    still_uncut_deg as still_uncut_deg,
)
from .cut_prediction import (
    NOT_INCLUDED as NOT_INCLUDED,
    OTHER_LINES as OTHER_LINES,
    HalfTurnReading as HalfTurnReading,
    Prediction as Prediction,
    advise as advise,
    explain_half_turn as explain_half_turn,
    half_turn_reading as half_turn_reading,
    mounting_scatter as mounting_scatter,
    predict_cut as predict_cut,
)
from .torque_sequence import TorqueStep as TorqueStep, torque_steps as torque_steps
