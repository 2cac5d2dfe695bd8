"""One thread for sums of products, whatever the machine: more of them add in another order.

No matrix here is large enough to be worth a second thread, and on a busy machine it is waited for.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module

_LIMITS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")

BLAS_THREADS = 1
"""Threads of every analysis, stored with its result: more of them would give other last digits."""


@contextmanager
def one_blas_thread() -> Iterator[None]:
    """Let libraries of linear algebra use one thread inside; nothing to do where the environment says so."""
    if all(os.environ.get(name) == str(BLAS_THREADS) for name in _LIMITS):
        yield
        return
    # Loaded where it is needed: no command does, whose own threads are limited from the start.
    with import_module("threadpoolctl").threadpool_limits(BLAS_THREADS, "blas"):
        yield
