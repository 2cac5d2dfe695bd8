from .inputs.loading import (
    LoadedSweep as LoadedSweep,
    load_sweep as load_sweep,
    read_recording as read_recording,
)
from .recording.check import check_file as check_file
from .recording.reader import RecordingReader as RecordingReader
from .session.session import Session as Session, replay as replay
