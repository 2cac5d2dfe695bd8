"""How the virtual bench is named where a port, a recording or a sweep could be."""

PRACTICE = "practice:"
"""Before the name of a scenario: the bench in the process."""
