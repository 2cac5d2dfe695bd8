from .between_counts import (
    FEW_COUNTS as FEW_COUNTS,
    U_COUNTS as U_COUNTS,
    angles_between_counts as angles_between_counts,
)
from .encoder_calibration import (
    EncoderCalibration as EncoderCalibration,
    calibrate_encoder as calibrate_encoder,
)
from .from_stops import Stop as Stop, read_stop as read_stop, readings_at_places as readings_at_places
from .from_time import (
    angles_between_pulses as angles_between_pulses,
    angles_of_steady_spin as angles_of_steady_spin,
)
from .stair_angles import told_between_counts as told_between_counts
