"""Rows of text, canvas, plots, digits; knows no session."""
