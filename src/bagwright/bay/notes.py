"""Free words that people write: what cannot be seen is refused, so that nothing turns or breaks a page."""

from __future__ import annotations

import unicodedata

from django.utils.translation import gettext as _

from bagwright.errors import InputError

LONGEST = 2000
_OVERRIDES = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Marks that turn the direction of what follows them."""


def note_of(text: str) -> str:
    """Words as they are kept: line ends as everywhere inside, no blanks around.

    Raises InputError for more than 2,000 characters, control characters, and marks of direction.
    """
    kept = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    if len(kept) > LONGEST:
        raise InputError(
            _("%(n)s characters are more than the %(most)s that are kept.")
            % {"n": len(kept), "most": LONGEST},
            _("Shorten it; nothing was stored."),
        )
    if any(_unseen(char) for char in kept):
        raise InputError(
            _("The words hold control characters that cannot be seen."),
            _("Type them again; nothing was stored."),
        )
    return kept


def _unseen(char: str) -> bool:
    return char in _OVERRIDES or (unicodedata.category(char) in ("Cc", "Cs") and char not in "\n\t")
