"""The virtual bench as a source, on a pseudo-terminal, on TCP."""
