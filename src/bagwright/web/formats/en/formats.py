"""Dates in English with the month as a word: 03/04 is a day in March to one reader and in April to another."""

from __future__ import annotations

DATE_FORMAT = "j M Y"
SHORT_DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "j M Y H:i"
SHORT_DATETIME_FORMAT = "j M Y H:i"
