"""The words of the bay in the reader's language: figures of a ball, mishits. What is stored keeps its own word."""

from __future__ import annotations

from django.utils.translation import gettext as _


def figure(name: str) -> str:
    """A figure of a typed ball: "ball_speed_mps" is "ball speed"."""
    return {
        "carry_m": _("carry"), "offline_m": _("side"), "ball_speed_mps": _("ball speed"),
        "club_speed_mps": _("club speed"), "launch_rad": _("launch"), "spin_rpm": _("spin"),
        "apex_m": _("height"), "descent_rad": _("descent"), "total_m": _("total"), "attack_rad": _("attack"),
    }[name]  # fmt: skip


def mishit(word: str) -> str:
    """A mishit: "thin" as the reader says it; a word of the player's own stays."""
    said = {
        "heavy": _("heavy"), "thin": _("thin"), "topped": _("topped"), "toe": _("toe"), "heel": _("heel"),
        "shank": _("shank"), "high": _("high"), "mishit": _("mishit"), "bad-read": _("bad read"),
        "warm-up": _("warm-up"),
    }  # fmt: skip
    return said.get(word, word)
