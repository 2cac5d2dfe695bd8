"""Part, gauge, encoder, board and link in simulated microseconds."""
