"""Angles without an encoder, and the encoder calibrated; knows no fit of the part."""
