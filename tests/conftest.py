"""What holds for every test."""

from hypothesis import settings

# No test fails for being slow: on a shared machine one example may take any time.
settings.register_profile("fullturn", deadline=None)
settings.load_profile("fullturn")
