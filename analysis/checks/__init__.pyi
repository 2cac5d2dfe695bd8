from .indicator_check import (
    check_returns as check_returns,
    check_sense as check_sense,
    check_shim as check_shim,
    check_still as check_still,
)
from .rules import (
    END_FLOAT_OF_LIMIT as END_FLOAT_OF_LIMIT,
    Evidence as Evidence,
    describe_bump as describe_bump,
    run_checks as run_checks,
)
