"""Results as sentences."""
