"""What each command does, one module each: loaded when the command really runs, never for its help."""
