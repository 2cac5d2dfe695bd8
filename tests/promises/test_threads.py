"""Results do not depend on how many threads the libraries of linear algebra would like to use."""

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
RECORDING = ROOT / "recordings" / "wind-pump-as-found-nick" / "recording.mcap"
PROGRAM = """
import sys
from analysis import analyse
from logger import read_recording
result = analyse(read_recording(sys.argv[1]))
print([(order.cos_mm, order.sin_mm, order.u_mm) for order in result.pooled.orders])
print(result.pooled.tir_fit.interval(), result.pooled.form.interval(), result.pooled.noise_mm)
print([(bump.deg, bump.width_deg, bump.height_mm) for bump in result.bumps])
"""


def digits(threads: str) -> str:
    limits = {f"{name}_NUM_THREADS": threads for name in ("OPENBLAS", "OMP", "MKL")}
    command = [sys.executable, "-c", PROGRAM, str(RECORDING)]
    done = subprocess.run(
        command, cwd=ROOT, env={**os.environ, **limits}, capture_output=True, text=True, check=True
    )
    return done.stdout


def test_two_threads_give_the_digits_of_one() -> None:
    assert digits("2") == digits("1")
