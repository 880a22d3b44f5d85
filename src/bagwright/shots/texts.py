"""Text cells: cleaned for display, escaped for spreadsheets, and words for swing, lie and mark."""

from __future__ import annotations

import re
import unicodedata

from bagwright.shots.record import CHANGES, MISHITS, Mark, MarkKind
from bagwright.shots.words import (
    BAD_READ_WORDS,
    CHANGE_WORDS,
    LIE_WORDS,
    MISHIT_WORDS,
    SOFTENERS,
    SWING_WORDS,
    WARM_UP_WORDS,
)

FORMULA_STARTS = frozenset("=+-@\t\r\n＝＋－＠")
"""First characters that make a spreadsheet take a text for a formula, full-width twins included."""

_KINDS: dict[str, MarkKind] = {"mishit": "mishit", "bad-read": "bad-read", "warm-up": "warm-up"}
_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))


def clean(text: str, longest: int = 200) -> str:
    """One line without control characters, direction overrides or outer blanks, at most `longest` long."""
    if text.isascii() and text.isprintable() and len(text) <= longest:
        return " ".join(text.split())
    kept = (" " if c.isspace() else c for c in text[: 4 * longest] if c.isspace() or _seen(c))
    line = " ".join("".join(kept).split())
    return line if len(line) <= longest else line[: longest - 1] + "…"


def _seen(char: str) -> bool:
    return unicodedata.category(char) not in _UNSEEN


def display_name(name: str) -> str:
    """Return a file's name as it may be shown: the last part of its path, cleaned, never empty."""
    last = re.split(r"[\\/]", name)[-1]
    return clean(last, 80) or "unnamed file"


def shown(value: str) -> str:
    """Return a cell's text as it may stand in a message."""
    return clean(value, 60)


def escaped(text: str) -> str:
    """Return a text cell that no spreadsheet takes for a formula: an apostrophe goes first if need be."""
    return "'" + text if text[:1] in FORMULA_STARTS or text[:1] == "'" else text


def unescaped(text: str) -> str:
    """Return the text that `escaped` was given."""
    return (
        text[1:]
        if len(text) > 1 and text[0] == "'" and (text[1] in FORMULA_STARTS or text[1] == "'")
        else text
    )


def swing_word(text: str) -> str:
    """Return the swing that a cell names: one of our five words, else the user's own word; blank is stock."""
    simple = clean(text)
    return SWING_WORDS.get(simple.casefold(), simple or "stock")


def lie_word(text: str) -> str:
    """Return the lie that a cell names: one of our words, else the text."""
    simple = clean(text)
    return LIE_WORDS.get(simple.casefold(), simple)


def change_text(text: str) -> str:
    """Return what was changed, beginning with one of our kinds of change."""
    simple = clean(text)
    lowered = simple.casefold()
    if not simple or any(lowered == kind or lowered.startswith((f"{kind}:", f"{kind} ")) for kind in CHANGES):
        return simple
    return change_in_note(simple) or f"other: {simple}"


def change_in_note(note: str) -> str:
    """Return the stamped change that a note begins with ("tip: weaker grip", "face tape"), else ""."""
    simple = clean(note)
    lowered = simple.casefold()
    for word, kind in CHANGE_WORDS.items():
        if lowered == word:
            return kind
        if lowered.startswith(word + ":"):
            return f"{kind}: {simple[len(word) + 1 :].strip()}"
    return ""


def mark_in_note(note: str) -> Mark | None:
    """Return the mark that a note is the plain word for; "not heavy" and "heavy?" set nothing."""
    for phrase in re.split(r"[,;/|.]| and | & ", clean(note).casefold()):
        mark = _mark_of(phrase.strip(" !"))
        if mark is not None:
            return mark
    return None


def _mark_of(phrase: str) -> Mark | None:
    words = " ".join(word for word in phrase.split() if word not in SOFTENERS)
    for simple in (phrase, words):
        if simple in BAD_READ_WORDS:
            return Mark("bad-read", simple)
        if simple in WARM_UP_WORDS:
            return Mark("warm-up")
        if simple in MISHIT_WORDS:
            return Mark("mishit", MISHIT_WORDS[simple])
    return None


def mark_in_column(text: str) -> Mark | None:
    """Return the mark in a column headed "mark". Raises ValueError for a word that is no mark."""
    simple = clean(text)
    lowered = simple.casefold()
    if lowered in ("", "none", "-", "no", "ok"):
        return None
    head, _, reason = (part.strip() for part in simple.partition(":"))
    kind = _KINDS.get(head.casefold().replace(" ", "-"))
    if kind is not None:
        return Mark(kind, reason)
    if lowered in MISHITS:
        return Mark("mishit", lowered)
    mark = mark_in_note(simple)
    if mark is None:
        raise ValueError(simple)
    return mark
