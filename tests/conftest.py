"""What holds for every test."""

import os

# As the command does it, before numpy is loaded: on a busy machine threads that wait for one another would
# make a sweep ten times slower.
for _library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")

from hypothesis import settings  # noqa: E402

# No test fails for being slow: on a shared machine one example may take any time.
settings.register_profile("fullturn", deadline=None)
settings.load_profile("fullturn")
