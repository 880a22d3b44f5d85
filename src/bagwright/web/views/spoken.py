"""The words of the bay in the reader's language: figures of a ball, mishits. What is stored keeps its own word."""

from __future__ import annotations

from django.utils.translation import gettext as _

from bagwright.bay.figurewords import NAMES


def figure(name: str) -> str:
    """A figure of a typed ball: "ball_speed_mps" is "ball speed"."""
    return str(NAMES[name])


def mishit(word: str) -> str:
    """A mishit: "thin" as the reader says it; a word of the player's own stays."""
    said = {
        "heavy": _("heavy"), "thin": _("thin"), "topped": _("topped"), "toe": _("toe"), "heel": _("heel"),
        "shank": _("shank"), "high": _("high"), "mishit": _("mishit"), "bad-read": _("bad read"),
        "warm-up": _("warm-up"),
    }  # fmt: skip
    return said.get(word, word)
