from .known import KnownBoards as KnownBoards, PortInfo as PortInfo
from .pair import PairSource as PairSource
from .port import BAUD as BAUD, PortSource as PortSource, ports as ports
from .replay import FollowSource as FollowSource, ReplaySource as ReplaySource
from .search import ReopenPolicy as ReopenPolicy
from .standard_input import StandardInput as StandardInput
