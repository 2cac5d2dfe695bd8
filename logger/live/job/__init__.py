"""One person's walk through a job at a live session."""
