"""Results as sentences and as JSON; computes nothing."""
