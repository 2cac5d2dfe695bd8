"""Results as sentences and as JSON, one module a result; computes nothing."""
