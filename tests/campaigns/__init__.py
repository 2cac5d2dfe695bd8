"""Long simulations and soaks, each run by name from the top folder: python -m tests.campaigns.NAME.

Each prints what it saw; tests/test_campaigns.py runs the least of every one.
"""

import os
import sys
from pathlib import Path

# As the command does it, before numpy is loaded: see tests/conftest.py.
for _library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")

_HELPERS = str(Path(__file__).parents[1])
"""Where pytest finds the tests' own helpers too."""
if _HELPERS not in sys.path:
    sys.path.append(_HELPERS)
