"""Imported before the tests' helpers, so that a campaign run by itself finds them where pytest does."""

import sys
from pathlib import Path

_HELPERS = str(Path(__file__).parents[1])
if _HELPERS not in sys.path:
    sys.path.append(_HELPERS)
