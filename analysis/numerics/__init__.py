"""Mathematics without a sweep: distributions, least squares, propagation, order vectors; knows no gauge."""
