from .conformity import (
    DECIDED_IN_A_SWEEP as DECIDED_IN_A_SWEEP,
    ON_THE_CUTTING_MOUNT as ON_THE_CUTTING_MOUNT,
    check_limit as check_limit,
    held_against_limits as held_against_limits,
)
from .corrections import corrected_for_gauge as corrected_for_gauge
from .degree_bands import (
    Residuals as Residuals,
    readings_by_degree as readings_by_degree,
    residuals as residuals,
)
from .numerics_version import NUMERICS_VERSION as NUMERICS_VERSION
from .pipeline import Options as Options, analyse as analyse
from .summary import LAG_NOT_KNOWN as LAG_NOT_KNOWN
from .sweep_pass import (
    PassedSweep as PassedSweep,
    PassSettings as PassSettings,
    SweepPass as SweepPass,
)
from .turn_results import turn_by_itself as turn_by_itself
from .unseen_lines import declared_gauge as declared_gauge, gauge_taken_as as gauge_taken_as
