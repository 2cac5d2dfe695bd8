"""``fullturn endplay``: another word of the trade for ``endfloat``."""

from logger.commands.endfloat import command

__all__ = ["command"]
