"""Results as JSON objects; their keys are a promise."""
