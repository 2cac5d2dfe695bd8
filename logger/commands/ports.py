"""``fullturn ports``: what is plugged in, told without opening anything."""

from dataclasses import replace
from typing import Any

import click

from logger.commands.options import OutputOptions, print_json, result_options


@click.command()
@click.option(
    "--probe", is_flag=True, help="Ask each port whether a board answers; names them and asks you first."
)
@click.option("--yes", is_flag=True, help="With --probe: open them without asking.")
@result_options
def command(probe: bool, yes: bool, output: OutputOptions) -> int:
    """List serial ports by maker, product and serial number, without opening any.

    Opening a stranger's port may reset the machine behind it: --probe names the ports and asks first.
    """
    settings = output.settings()
    from logger.sources import (  # noqa: PLC0415
        KnownBoards,
        ports,
    )

    known = KnownBoards(settings.config_folder)
    found = ports(known)
    hello: dict[str, bool | None] = {port.path: None for port in found}
    if probe and found:
        click.echo("These ports would be opened, which may reset what hangs there:", err=True)
        for port in found:
            click.echo(f"  {port.path}  {port.maker} {port.product}".rstrip(), err=True)
        if yes or click.confirm("Open them?", err=True):
            for number, port in enumerate(found):
                hello[port.path] = answers_hello(port.path, known)
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
        told = {True: "answers hello", False: "no hello", None: "used before" if port.known else "not opened"}
        name = " ".join(text for text in (port.maker, port.product, port.serial) if text) or "no USB device"
        click.echo(f"{port.path}  {name}  ({told[hello[port.path]]})")
    return 0


def answers_hello(path: str, known: Any) -> bool:
    """Open one port, wait for a hello, close it; a board that answers is known from now on."""
    from analysis.errors import LinkError  # noqa: PLC0415
    from logger.session import Session  # noqa: PLC0415
    from logger.sources import PortSource  # noqa: PLC0415
    from logger.wire.handshake import Handshake  # noqa: PLC0415

    try:
        source = PortSource(path, picked=True, known=known)
    except LinkError:
        return False
    session, opening = Session(), Handshake()
    try:
        while opening.state == "waiting" and session.hello is None:
            source.write(opening.poll(source.now().monotonic_ns * 1e-9))
            for item in source.read(0.05):
                session.take(item)
        if session.hello is not None:
            known.remember(source.info)
    except LinkError:
        return False
    finally:
        source.close()
    return session.hello is not None


def _object(port: Any, hello: bool | None) -> dict[str, Any]:
    return {
        "path": port.path,
        "maker": port.maker,
        "product": port.product,
        "serial": port.serial,
        "known": port.known,
        "hello": hello,
    }
