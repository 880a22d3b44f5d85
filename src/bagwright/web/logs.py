"""Log lines that hold no personal data and that no text from outside can break in two."""

from __future__ import annotations

import logging


class OneLine(logging.Formatter):
    """Time, level, request id and message; control characters of the message become spaces.

    A traceback follows on lines of its own, each indented, so that it cannot be taken for a new entry.
    """

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        """One entry; continuation lines are indented."""
        said = super().format(record)
        lines = ["".join(c if c.isprintable() else " " for c in line) for line in said.splitlines()]
        return "\n    ".join(lines)
