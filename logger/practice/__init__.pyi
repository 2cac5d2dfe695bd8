from .bench.board import DEVICE_ID as DEVICE_ID
from .bench.faults import FAULTS as FAULTS
from .naming import PRACTICE as PRACTICE
from .serving.ends import pty_available as pty_available
from .serving.paced_source import PacedPractice as PacedPractice
from .serving.server import serve_pty as serve_pty, serve_tcp as serve_tcp
from .serving.simulated_source import SLICE_US as SLICE_US, PracticeSource as PracticeSource
from .stories.catalogue import SCENARIOS as SCENARIOS
