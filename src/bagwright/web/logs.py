"""Log lines that hold no personal data and that no text from outside can break in two."""

from __future__ import annotations

import logging
import traceback
from types import TracebackType


class OneLine(logging.Formatter):
    """Time, level, request id and message; control characters of the message become spaces.

    A traceback follows on lines of its own, each indented, so that it cannot be taken for a new entry. It says
    where and which kind of error; not the error's words, which may hold what somebody typed.
    """

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        """One entry; continuation lines are indented."""
        record.exc_text = None  # another formatter may have left its own, with the error's words
        said = super().format(record)
        lines = ["".join(c if c.isprintable() else " " for c in line) for line in said.splitlines()]
        return "\n    ".join(lines)

    def formatException(  # noqa: N802 - the name that logging asks for
        self, ei: tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]
    ) -> str:
        """Frames and kind of an error and of those that it came from, the last first."""
        parts: list[str] = []
        error = ei[1]
        while error is not None and len(parts) < 200:
            parts += traceback.format_tb(error.__traceback__)
            parts.append(f"{type(error).__module__}.{type(error).__qualname__}\n")
            error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
        return "".join(parts).rstrip("\n")
