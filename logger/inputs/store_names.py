"""What ``store:...`` stands for: the file of a stored recording, after it was held to its checksum.

``store:12`` is the recording of that turn, ``store:rec/9eeb72c4`` the one whose identity begins so,
``store:PART/as-found`` the newest of that part and stage. ``@DEG`` may follow, as after any file.
"""

from pathlib import Path

from analysis import store
from analysis.errors import BadInput, RecordingError
from analysis.setup import Stage
from logger.inputs.indexed_sweep import split_at
from logger.recording import sha256_of

STORE = "store:"
OF_RECORDING = "rec/"
SHOWN = 3
"""So many recordings that a name might mean are told."""
FORMS = "store:TURN (a number), store:rec/IDENTITY (its beginning is enough) or store:PART/STAGE"
WHICH = "`fullturn history` lists numbers and identities"


def file_of(name: str, opened: "store.Store") -> str:
    """Return the file that ``store:...`` or ``store:...@DEG`` stands for, with the same ``@DEG``.

    Raises BadInput where the name fits no recording or several, and where its file is missing, altered or
    was never finished.
    """
    plain, _ = split_at(name)
    return str(whole_file(stored_file(plain.removeprefix(STORE), opened), name)) + name.removeprefix(plain)


def stored_file(words: str, opened: "store.Store") -> "store.StoredFile":
    """Return the recording that these words mean: what stands after ``store:``. Raises BadInput."""
    name = STORE + words
    if words.isdecimal():
        found = opened.upkeep.file_of_turn(int(words))
        if found is None:
            raise BadInput(f"{name}: {opened.name} has no turn {words}; {WHICH}")
        return found
    if words.startswith(OF_RECORDING):
        return _of_identity(words.removeprefix(OF_RECORDING), name, opened)
    part, slash, stage = words.rpartition("/")
    if not slash or not part:
        raise BadInput(f"{name} names no recording: write {FORMS}; {WHICH}")
    return _newest(part, stage, name, opened)


def whole_file(one: "store.StoredFile", name: str) -> Path:
    """Return where a recording's file lies, whole as it was stored. Raises BadInput."""
    path = Path(one.file)
    known_as = f"{name} is recording {one.recording_id}"
    if one.sha256 is None:
        raise BadInput(
            f"{known_as}, never finished in the store, so nothing is known to hold its file to: "
            f"`fullturn store add {one.file}` finishes it"
        )
    try:
        found = sha256_of(path) if path.is_file() else None
    except (OSError, RecordingError) as error:
        raise BadInput(f"{known_as}: {path} cannot be read: {error}; mend that, and ask again") from error
    if found is None:
        raise BadInput(
            f"{known_as}, and its file {path} is missing: `fullturn store find FOLDER` finds it where it was "
            "moved to"
        )
    if found != one.sha256:
        raise BadInput(
            f"{known_as}, and its file {path} has the SHA-256 {found[:12]}..., expected "
            f"{one.sha256[:12]}...: altered since it was recorded, and not used; put the right file back"
        )
    return path


def _of_identity(beginning: str, name: str, opened: "store.Store") -> "store.StoredFile":
    found = opened.upkeep.files_of_identity(beginning, SHOWN) if beginning else []
    if not found:
        raise BadInput(f"{name}: no recording in {opened.name} has an identity that begins so; {WHICH}")
    if len(found) > 1:
        begins = ", ".join(one.recording_id for one in found)
        raise BadInput(f"{name} may be several recordings ({begins}): write more of its identity")
    return found[0]


def _newest(part: str, stage: str, name: str, opened: "store.Store") -> "store.StoredFile":
    stages = {each.value.replace(" ", "-"): each.value for each in Stage}
    wanted = stages.get(stage.replace(" ", "-"))
    if wanted is None:
        raise BadInput(f"{name}: {stage!r} is no stage; write one of {', '.join(stages)} after the last /")
    found = opened.upkeep.newest_files(part, wanted)
    if not found:
        raise BadInput(
            f"{name}: no recording of {part!r} at {wanted} in {opened.name}; `fullturn part list` lists parts"
        )
    if len(found) > 1:
        newest = ", ".join(f"store:{OF_RECORDING}{one.recording_id}" for one in found[:SHOWN])
        raise BadInput(
            f"{name} may be parts of {len(found)} serials: name the recording itself, the newest of them are "
            f"{newest}"
        )
    return found[0]
