"""The state of one live session and how messages change it."""
