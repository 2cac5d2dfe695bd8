from .rules import (
    END_FLOAT_OF_LIMIT as END_FLOAT_OF_LIMIT,
    Evidence as Evidence,
    describe_bump as describe_bump,
    run_checks as run_checks,
)
