from .mark_in_force import MarkInForce as MarkInForce
from .session import Session as Session, replay as replay
from .turn_detector import FinishedTurnSamples as FinishedTurnSamples, TurnDetector as TurnDetector
