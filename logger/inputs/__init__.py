"""One analysed sweep from whatever a person names."""
