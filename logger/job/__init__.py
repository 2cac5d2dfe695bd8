"""The guided job: steps, where it stands, its file, what its sweeps showed; no screen."""
