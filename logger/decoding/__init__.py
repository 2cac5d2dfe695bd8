"""The bytes of one link to unwrapped integers; knows no angle or turn."""
