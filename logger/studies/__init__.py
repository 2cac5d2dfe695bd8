"""One question answered from several sweeps; no text."""
