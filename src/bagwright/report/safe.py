"""Text of other people made safe to set: no control characters, no direction tricks, no endless names."""

from __future__ import annotations

import struct
import unicodedata
from functools import cache
from pathlib import Path

from bagwright.words import Changed, Words, plain

FONTS = Path(__file__).parent / "fonts"
FONT_FILES = ("SourceSans3-Regular.ttf", "SourceSans3-Bold.ttf", "DejaVuSans.ttf")
MISSING_GLYPH = "□"

_JOINERS = "\u200c\u200d"
_ISOLATE, _POP = "\u2068", "\u2069"
_MOST_ACCENTS = 3
_RIGHT_TO_LEFT = ("R", "AL", "AN")


def clean(text: object, limit: int = 80) -> str:
    """`text` on one line, at most `limit` characters, ending in "…" where it was cut.

    Control characters, direction overrides and lone surrogates are dropped, runs of white space become one
    space, and no character keeps more than three accents (stacks of hundreds climb over the lines above).
    Right-to-left text is isolated, so that it cannot reorder the sentence around it.
    """
    if isinstance(text, Words):
        # A sentence of ours may need more room in another language than in English.
        return Words(clean(plain(text), limit), Changed(text, clean, (limit + limit // 2,)))
    if limit < 2:
        raise ValueError(f"a limit of at least 2 characters is needed, but got {limit}")
    # Four times the limit is enough to fill it and keeps a name of a million characters cheap.
    kept = _visible(str(text)[: 50 + 8 * limit])
    line = " ".join(kept.split())
    if len(line) > limit:
        line = _cut(line, limit - 1) + "…"
    if any(unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT for letter in line):
        line = _ISOLATE + line + _POP
    return line


def label(text: object, limit: int = 40) -> str:
    """Give `clean` text for a chart, where a label stands alone and needs no isolation from a sentence."""
    return clean(text, limit).strip(_ISOLATE + _POP)


def _visible(text: str) -> str:
    kept: list[str] = []
    accents = 0
    for letter in text:
        category = unicodedata.category(letter)
        if category in ("Cc", "Zl", "Zp"):
            letter = " "
        elif category in ("Cs", "Cn", "Co") or (category == "Cf" and letter not in _JOINERS):
            continue
        accents = accents + 1 if category.startswith("M") else 0
        if accents <= _MOST_ACCENTS:
            kept.append(letter)
    return "".join(kept)


def _cut(line: str, length: int) -> str:
    """Give the first `length` characters, less what would tear an accent or a joined sign from its base."""
    end = length
    while end > 1 and (unicodedata.category(line[end]).startswith("M") or line[end] in _JOINERS):
        end -= 1
    return line[:end].rstrip(" " + _JOINERS)


def without_glyph(text: str) -> frozenset[str]:
    """Give the characters of `text` that none of the bundled fonts can draw."""
    covered = _covered()
    return frozenset(letter for letter in set(text) if ord(letter) not in covered and not _ignorable(letter))


def drawable(text: str) -> str:
    """`text` with every character that the bundled fonts lack replaced by an empty box."""
    lacking = without_glyph(text)
    return "".join(MISSING_GLYPH if letter in lacking else letter for letter in text) if lacking else text


def _ignorable(letter: str) -> bool:
    return unicodedata.category(letter) in ("Cf", "Cc")


@cache
def _covered() -> frozenset[int]:
    return frozenset().union(*(_characters((FONTS / name).read_bytes()) for name in FONT_FILES))


def _characters(font: bytes) -> set[int]:
    """Give the characters that a TrueType font maps to a glyph.

    Source: ISO/IEC 14496-22 (Open Font Format), table `cmap`, subtable format 12.
    """
    tables = struct.unpack_from(">H", font, 4)[0]
    records = (struct.unpack_from(">4sLLL", font, 12 + 16 * i) for i in range(tables))
    start: int = next(offset for tag, _, offset, _ in records if tag == b"cmap")
    found: set[int] = set()
    for i in range(struct.unpack_from(">H", font, start + 2)[0]):
        at = start + struct.unpack_from(">L", font, start + 8 + 8 * i)[0]
        if struct.unpack_from(">H", font, at)[0] == 12:
            for group in range(struct.unpack_from(">L", font, at + 12)[0]):
                first, last, glyph = struct.unpack_from(">LLL", font, at + 16 + 12 * group)
                found.update(range(first + (glyph == 0), last + 1))
    return found
