"""Checks of a file beside those of the recording it came from: the worse of the two holds."""

from collections.abc import Sequence

from analysis.capture import FromRecording
from analysis.results import Check, CheckState

_WORSE = (CheckState.CLEAR, CheckState.DOUBTFUL, CheckState.REFUSED)


def with_recorded_checks(checks: Sequence[Check], recorded: FromRecording | None) -> tuple[Check, ...]:
    """Return the checks, each no better than its recording's own.

    Readings alone do not hold what the link lost, what the encoder reported or which buttons were pressed: a
    check that is clear in the file was refused where those were known. A check that was clear there makes
    nothing better here; where the file's word was changed or damaged, the link is refused.
    """
    if recorded is None:
        return tuple(checks)
    if recorded.damaged:
        return (
            Check(
                "link",
                CheckState.REFUSED,
                f"what the file says of its recording was changed or damaged: {recorded.damaged}",
                "export the file again from its recording",
            ),
            *(check for check in checks if check.name != "link"),
        )
    found = {check.name: check for check in checks}
    before = []
    for one in recorded.checks:
        state = CheckState(one.state)
        own = found.get(one.name)
        if _WORSE.index(state) <= (_WORSE.index(own.state) if own else 0):
            continue
        said = Check(one.name, state, f"{one.text} (said by the recording it came from)", one.do)
        if own is None:
            before.append(said)
        found[one.name] = said
    return (*before, *(found[check.name] for check in checks))
