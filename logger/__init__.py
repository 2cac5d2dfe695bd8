"""The bench and the person: wire, sources, recordings, the virtual bench, sessions and commands."""
