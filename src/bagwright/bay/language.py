"""The language of whoever asks: that of the page, which is the account's own, else the shop's, else the browser's."""

from __future__ import annotations

from django.utils.translation import get_language

from bagwright.words import LANGUAGES, in_language


def reader() -> str:
    """The reader's language where the program writes it, else English."""
    code = (get_language() or "en").partition("-")[0]
    return code if code in LANGUAGES else "en"


def here(text: str) -> str:
    """A sentence of the core as the reader reads it, for a text that is put together or sent as JSON.

    A template needs none of this: it writes such sentences in the reader's language by itself.
    """
    return in_language(text, reader())
