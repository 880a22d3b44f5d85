"""SVG as text: elements with escaped attributes, texts of other people made harmless."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from bagwright.report.safe import clean, label
from bagwright.words import as_read


def el(name: str, *inside: str, **attributes: str | float | None) -> str:
    """Write an element. `cls` stands for class, `_` in a name for a hyphen; None leaves an attribute away."""
    written = "".join(
        f' {_attribute(key)}="{escape(_value(value), quote=True)}"'
        for key, value in attributes.items()
        if value is not None
    )
    content = "".join(inside)
    return f"<{name}{written}>{content}</{name}>" if content else f"<{name}{written}/>"


def _attribute(key: str) -> str:
    return "class" if key == "cls" else key.rstrip("_").replace("_", "-").replace("viewbox", "viewBox")


def _value(value: str | float) -> str:
    return value if isinstance(value, str) else figure(value)


def figure(value: float) -> str:
    """Write a number of pixels with one decimal at most."""
    text = f"{value:.1f}"
    return text[:-2] if text.endswith(".0") else text


def text(
    words: object, x: float, y: float, cls: str | None = None, limit: int = 80, **more: str | float
) -> str:
    """Write a text at a place: one line, at most `limit` characters, no control characters."""
    return el("text", escape(as_read(label(words, limit)), quote=False), x=x, y=y, cls=cls, **more)


def said(words: object, limit: int = 2000) -> str:
    """Make words safe to stand between tags."""
    return escape(as_read(clean(words, limit)), quote=False)


def path(lines: Iterable[Iterable[tuple[float, float]]], closed: bool) -> str:
    """Write lines of pixels as the `d` of a path."""
    end = "Z" if closed else ""
    return "".join("M" + "L".join(f"{figure(x)} {figure(y)}" for x, y in line) + end for line in lines)
