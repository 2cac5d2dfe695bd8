"""From a running session to what is painted: plain values and rows of text. Knows nothing of any screen."""
