"""Part, seat, spindle, dirt and indicator told apart from several sweeps."""
