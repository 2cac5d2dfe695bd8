"""A recording every so often, for so long."""

import re
import threading
import time
from dataclasses import replace

from analysis.errors import BadInput
from logger.commands.end_signals import EndSignals
from logger.commands.run.record_once import RecordOutcome, RecordRequest, record_once
from logger.settings import Settings

_SECONDS = {"s": 1.0, "min": 60.0, "h": 3600.0}


def parse_time(text: str) -> float:
    """Read a duration such as ``10 min``, ``90 s`` or ``2 h`` into seconds."""
    match = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*(s|min|h)\s*", text)
    seconds = float(match.group(1).replace(",", ".")) * _SECONDS[match.group(2)] if match else 0.0
    if seconds <= 0:
        raise BadInput(f"{text!r} is no time: write a number with s, min or h, as 10 min")
    return seconds


def record_series(
    request: RecordRequest, settings: Settings, every_s: float, lasting_s: float, signals: EndSignals
) -> list[RecordOutcome]:
    """Begin a recording every ``every_s`` seconds until ``lasting_s`` have passed or a person ends one."""
    if request.turns is None and request.seconds is None:
        raise BadInput("--every needs an end of each recording: add --turns or --seconds")
    if request.out is not None:
        raise BadInput(
            "--out names one file, --every makes several: leave --out away, they go to the data folder"
        )
    began_s, outcomes, number = time.monotonic(), list[RecordOutcome](), 0
    ended = threading.Event()
    signals.when_asked(ended.set)
    while number * every_s <= lasting_s:
        kth = replace(request, source=replace(request.source, kth=number, every_s=every_s))
        outcomes.append(record_once(kth, settings, signals))
        number += 1
        if number * every_s <= lasting_s and not request.source.practice:
            ended.wait(max(0.0, began_s + number * every_s - time.monotonic()))
        if ended.is_set():
            break
    return outcomes
