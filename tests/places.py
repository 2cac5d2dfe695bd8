"""Where the project's own files lie, for tests that read them."""

from pathlib import Path

ROOT = Path(__file__).parent.parent
REFERENCE = ROOT / "tests" / "reference"
"""Published reference sets, and files of earlier versions that stay readable for ever."""

FROZEN_STORE, FROZEN_JOBS = REFERENCE / "store_version_2.db", REFERENCE / "job_format_1"
RECORDINGS = ROOT / "recordings"
