from .mark_in_force import MarkInForce as MarkInForce
from .sample_blocks import (
    Foreseen as Foreseen,
    NeedsWholeSweep as NeedsWholeSweep,
    SampleBlocks as SampleBlocks,
)
from .session import Session as Session, replay as replay
from .turn_detector import FinishedTurnSamples as FinishedTurnSamples, TurnDetector as TurnDetector
