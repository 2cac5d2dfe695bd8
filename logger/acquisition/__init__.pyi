from .adding import identity_of as identity_of, replay_into_store as replay_into_store
from .gauge_register import GaugeRegister as GaugeRegister, register_of as register_of
from .kept_open import KeptOpen as KeptOpen
from .looks import with_looks as with_looks
from .opening import (
    OpenedSource as OpenedSource,
    SourceRequest as SourceRequest,
    check_request as check_request,
    open_source as open_source,
)
from .practice_file import write_practice as write_practice
from .recorder import (
    Recorded as Recorded,
    Recorder as Recorder,
    check_out as check_out,
    default_path as default_path,
    make_folder as make_folder,
    new_identity as new_identity,
    seeded_identity as seeded_identity,
)
from .recording_end import Until as Until
from .recording_files import (
    keep_as as keep_as,
    newest_recording as newest_recording,
    unnamed_folder as unnamed_folder,
)
from .turn_notes import TurnNote as TurnNote, TurnNotes as TurnNotes
from .turn_store import TurnStore as TurnStore, check_store as check_store
from .worker import Worker as Worker
from .worker_messages import (
    BoardStarted as BoardStarted,
    EventTaken as EventTaken,
    StopRead as StopRead,
    Warned as Warned,
    WorkerEnded as WorkerEnded,
    WorkerMessage as WorkerMessage,
)
