"""Every number with its formula and this sweep's values."""
