"""The serial ports that are there, and which of them a board answers on."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import click

from analysis.errors import LinkError
from logger.acquisition import SourceRequest, open_source
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.session import Session
from logger.sources import KnownBoards, PortInfo, ports
from logger.wire.handshake import Handshake, HandshakeState


def run(probe: bool, yes: bool, output: OutputOptions) -> int:
    """Print one line a port."""
    settings = output.settings()
    known = KnownBoards(settings.config_folder)
    found = ports(known)
    hello: dict[str, bool | None] = {port.path: None for port in found}
    if probe and found:
        click.echo("These ports would be opened, which may reset what hangs there:", err=True)
        for port in found:
            click.echo(f"  {port.path}  {port.maker} {port.product}".rstrip(), err=True)
        if yes or click.confirm("Open them?", err=True):
            for number, port in enumerate(found):
                hello[port.path] = answers_hello(port.path, settings.config_folder)
                if hello[port.path]:
                    found[number] = replace(port, known=True)
    if output.as_json:
        print_json({"ports": [_object(port, hello[port.path]) for port in found]})
        return 0
    if not found:
        click.echo(
            "No serial port found.\nPlug the board in, or look whether its cable carries data (some "
            "only charge).\n"
            "Without a board: fullturn record practice:wind-pump/as-found --turns 3"
        )
        return 0
    for port in found:
        words = {
            True: "answers hello",
            False: "no hello",
            None: "used before" if port.known else "not opened",
        }
        name = " ".join(text for text in (port.maker, port.product, port.serial) if text) or "no USB device"
        click.echo(f"{port.path}  {name}  ({words[hello[port.path]]})")
    return 0


def answers_hello(path: str, config_folder: Path) -> bool:
    """Open one port, wait for a hello, close it; a board that answers is known from now on."""
    try:
        opened = open_source(SourceRequest(path), config_folder)
    except LinkError:
        return False
    source, listening, handshake = opened.source, Session(), Handshake()
    try:
        while handshake.state is HandshakeState.WAITING and listening.hello is None:
            source.write(handshake.poll(source.now().monotonic_ns * 1e-9))
            for item in source.read(0.05):
                listening.take(item)
        if listening.hello is not None:
            opened.remember()
    except LinkError:
        return False
    finally:
        source.close()
    return listening.hello is not None


def _object(port: PortInfo, hello: bool | None) -> dict[str, Any]:
    return {
        "path": port.path,
        "maker": port.maker,
        "product": port.product,
        "serial": port.serial,
        "known": port.known,
        "hello": hello,
    }
