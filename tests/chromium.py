"""A browser without a window, as a person's: pages printed and pictured, with a profile of their own."""

import shutil
import subprocess
from pathlib import Path

import pytest

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
GUARD_S = 240.0
"""No page takes so long; only a hung browser is ended by it, and its test fails."""
needs_browser = pytest.mark.skipif(BROWSER is None, reason="no chromium here: apt-get install chromium")


def printed(page: Path, folder: Path) -> Path:
    """Print a page of HTML as a person does, without head and foot of the browser; return the PDF."""
    assert BROWSER is not None
    out = folder / f"{page.stem}-printed.pdf"
    subprocess.run(
        [
            BROWSER,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            f"--user-data-dir={folder / 'profile'}",
            "--no-pdf-header-footer",
            f"--print-to-pdf={out}",
            page.absolute().as_uri(),
        ],
        check=True,
        capture_output=True,
        timeout=GUARD_S,
    )
    return out
