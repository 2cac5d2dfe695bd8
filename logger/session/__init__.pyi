from .mark_in_force import MarkInForce as MarkInForce
from .sample_blocks import (
    Foreseen as Foreseen,
    SampleBlocks as SampleBlocks,
)
from .scaling import NeedsWholeSweep as NeedsWholeSweep
from .session import Session as Session, replay as replay
from .sweep_under_way import SweepUnderWay as SweepUnderWay, settings_known as settings_known
from .turn_detector import FinishedTurnSamples as FinishedTurnSamples, TurnDetector as TurnDetector
