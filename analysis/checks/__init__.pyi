from .evidence import Deviation as Deviation, Lobes as Lobes, Turning as Turning
from .indicator_check import (
    check_returns as check_returns,
    check_sense as check_sense,
    check_shim as check_shim,
    check_still as check_still,
)
from .registry import CheckId as CheckId, run_checks as run_checks, thresholds_of as thresholds_of
from .stability import describe_bump as describe_bump
