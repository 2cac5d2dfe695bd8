from .session import Session as Session, replay as replay
from .turn_detector import FinishedTurnSamples as FinishedTurnSamples, TurnDetector as TurnDetector
