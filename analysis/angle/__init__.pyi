from .encoder_calibration import (
    EncoderCalibration as EncoderCalibration,
    calibrate_encoder as calibrate_encoder,
)
from .from_stops import Stop as Stop, read_stop as read_stop, stepped_readings as stepped_readings
from .from_time import (
    angles_between_pulses as angles_between_pulses,
    angles_of_steady_spin as angles_of_steady_spin,
)
