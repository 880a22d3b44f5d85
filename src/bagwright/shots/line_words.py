"""The words of a typed line: marks, swings and sides, in English and German (common practice, no source).

A German line understands the English words as well; which word is written is the first of its language.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

from bagwright.errors import InputError
from bagwright.shots.record import MISHITS, SWINGS
from bagwright.words import tell

Language = Literal["en", "de"]
LANGUAGES: tuple[Language, ...] = ("en", "de")

LEFT: dict[Language, tuple[str, ...]] = {"en": ("L", "left"), "de": ("L", "li", "links")}
RIGHT: dict[Language, tuple[str, ...]] = {"en": ("R", "right"), "de": ("R", "re", "rechts")}

SWING_WORDS: dict[str, str] = {
    "gd": "gripped-down", "fo": "flat-out", "3q": "three-quarter", "3/4": "three-quarter", "1/2": "half",
    **{swing: swing for swing in SWINGS},
}  # fmt: skip
"""Words of a line that name the swing."""
MISHIT_WORDS: dict[str, str] = {
    "hv": "heavy", "th": "thin", "tp": "topped", "te": "toe", "he": "heel", "sh": "shank", "hi": "high",
    **{word: word for word in MISHITS},
}  # fmt: skip
"""Words of a line that mark a mishit, the short ones first."""
BAD_WORDS = ("bad", "misread")
"""Words of a line that mark a bad read; what follows them is the reason."""
MISSING = ("-", ".", "–", "—", "−")
"""What stands for a figure that was not read."""

GERMAN_SWINGS: dict[str, str] = {
    "gegriffen": "gripped-down", "einsatz": "flat-out", "dreiviertel": "three-quarter", "halb": "half",
    "normal": "stock", "kg": "gripped-down", "ve": "flat-out",
}  # fmt: skip
GERMAN_MISHITS: dict[str, str] = {
    "fett": "heavy", "dünn": "thin", "getoppt": "topped", "spitze": "toe", "hacke": "heel", "shank": "shank",
    "hoch": "high", "duenn": "thin", "socket": "shank",
    "ft": "heavy", "dn": "thin", "gt": "topped", "sp": "toe", "ha": "heel", "ho": "high",
}  # fmt: skip
GERMAN_BAD = ("fehlmessung", "falsch")
GERMAN_UNCLEAR: dict[str, tuple[str, str]] = {"voll": ("normal", "einsatz"), "kurz": ("gegriffen", "halb")}
"""Words that people use for two swings: asked, never guessed."""


@dataclass(frozen=True, slots=True)
class Words:
    """What a line of one language understands; `unclear` words could be either of two others."""

    swings: Mapping[str, str]
    mishits: Mapping[str, str]
    bad: tuple[str, ...]
    unclear: Mapping[str, tuple[str, str]] = field(default_factory=dict)

    def __contains__(self, word: str) -> bool:
        return word in self.swings or word in self.mishits or word in self.bad or word in self.unclear

    def swing(self, swing: str) -> str:
        """The word that is written for a swing."""
        return next(word for word, of in self.swings.items() if of == swing)

    def mishit(self, mishit: str) -> str:
        """The word that is written for a mishit: a whole one."""
        found = (word for word, of in self.mishits.items() if of == mishit)
        return next((word for word in found if len(word) > 2), mishit)


@cache
def words_of(language: Language) -> Words:
    """The words of a language, each small and composed."""
    if language == "en":
        return Words(SWING_WORDS, MISHIT_WORDS, BAD_WORDS)
    return Words(
        {**GERMAN_SWINGS, **SWING_WORDS},
        {**GERMAN_MISHITS, **MISHIT_WORDS},
        (*GERMAN_BAD, *BAD_WORDS),
        GERMAN_UNCLEAR,
    )


def language_named(value: object) -> Language:
    """The language of a form as data. Raises InputError for one that has no words."""
    for language in LANGUAGES:
        if value == language:
            return language
    raise InputError(
        tell('"{language}" is no language of a line.', language=str(value)[:20]), tell("Use en or de.")
    )


def small(text: str) -> str:
    """A word as it is compared: small letters, an umlaut as one character."""
    return unicodedata.normalize("NFC", text).lower()
