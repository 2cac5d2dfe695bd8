"""What a notebook shows of a value: a small table and, where there is one, its curve. All text is escaped."""

from collections.abc import Mapping, Sequence
from html import escape

_WIDE, _TALL = 360, 60


def as_html(title: str, rows: Mapping[str, str], curve: Sequence[float] = ()) -> str:
    """Return a table of two columns under a title, and a curve over one turn from the mark as a strip."""
    lines = "".join(
        f"<tr><th style='text-align:left'>{_shown(name)}</th><td "
        f"style='text-align:left'>{_shown(text)}</td></tr>"
        for name, text in rows.items()
    )
    table = f"<table><caption style='text-align:left'>{_shown(title)}</caption>{lines}</table>"
    return f"<div>{table}{_strip(curve) if len(curve) > 1 else ''}</div>"


def _strip(curve: Sequence[float]) -> str:
    low, high = min(curve), max(curve)
    span = (high - low) or 1.0
    step = _WIDE / (len(curve) - 1)
    points = " ".join(
        f"{k * step:.1f},{2 + (_TALL - 4) * (high - value) / span:.1f}" for k, value in enumerate(curve)
    )
    return (
        f"<svg width='{_WIDE}' height='{_TALL}' viewBox='0 0 {_WIDE} {_TALL}' role='img' "
        "aria-label='one turn from the mark'><polyline fill='none' stroke='currentColor' "
        f"points='{points}'/></svg>"
    )


def _shown(text: str) -> str:
    """Return text as HTML shows it, what cannot be printed as a dot."""
    return escape("".join(character if character.isprintable() else "." for character in text))
