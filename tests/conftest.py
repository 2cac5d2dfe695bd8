"""What holds for every test."""

import os
import signal

# As the command does it, before numpy is loaded: on a busy machine threads that wait for one another would
# make a sweep ten times slower.
for _library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")

# In a shell's background, or under nohup, these are ignored, and every program that a test starts would inherit
# that: a test that ends one by a signal would wait for ever.
for _name, _handler in (("SIGINT", signal.default_int_handler), ("SIGHUP", signal.SIG_DFL)):
    if hasattr(signal, _name) and signal.getsignal(getattr(signal, _name)) is signal.SIG_IGN:
        signal.signal(getattr(signal, _name), _handler)

from hypothesis import settings  # noqa: E402
from work_units import pytest_xdist_make_scheduler  # noqa: E402, F401  a hook

# No test fails for being slow: on a shared machine one example may take any time.
settings.register_profile("fullturn", deadline=None)
settings.load_profile("fullturn")
