from .both_directions import (
    LagAndPlay as LagAndPlay,
    Pair as Pair,
    creep_mm as creep_mm,
    lag_and_play as lag_and_play,
    pair_of as pair_of,
    sources_of_bumps as sources_of_bumps,
)
from .bumps import (
    Bump as Bump,
    BumpKind as BumpKind,
    BumpSearch as BumpSearch,
    find_bumps as find_bumps,
    nothing_found as nothing_found,
)
from .gauge import (
    GaugeCount as GaugeCount,
    GaugeFacts as GaugeFacts,
    beat_with_turning as beat_with_turning,
    fastest_rpm as fastest_rpm,
    smallest_step_mm as smallest_step_mm,
    wanted_values_per_turn as wanted_values_per_turn,
)
from .held_values import HeldValues as HeldValues
from .holes import (
    declaration as declaration,
    found_holes as found_holes,
    open_holes as open_holes,
    windows_of_found_holes as windows_of_found_holes,
    with_margin as with_margin,
)
from .hysteresis import (
    GoneBack as GoneBack,
    Hysteresis as Hysteresis,
    play_from_going_back as play_from_going_back,
)
from .jumps import Jump as Jump, JumpKind as JumpKind, find_jump as find_jump
from .lag import (
    GaugeLag as GaugeLag,
    lag_from_speeds as lag_from_speeds,
)
from .learnt_lag import LearntLag as LearntLag, Phase as Phase, learn_lag as learn_lag
from .local_noise import noise_floor as noise_floor
from .slip import Slip as Slip, find_slip as find_slip
from .standstill import (
    Standstill as Standstill,
    find_standstills as find_standstills,
    repeats_beyond_chance as repeats_beyond_chance,
)
