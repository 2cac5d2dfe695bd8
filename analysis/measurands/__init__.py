"""Other quantities: form, thickness, backlash, end float, shaft axis, change."""
