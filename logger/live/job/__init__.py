"""One person's guided job at a live session."""
