"""The virtual bench: a part, a gauge, an encoder and a board that exist only in simulated microseconds."""
