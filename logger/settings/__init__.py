"""Settings and saved set-ups, each with whence it comes."""
