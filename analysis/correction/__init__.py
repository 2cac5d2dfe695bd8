"""What to do about it: cut, hole position, moves of screws, torque order; measures nothing."""
