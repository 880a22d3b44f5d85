"""Files of ours are written whole or not at all; texts in their TOML read back the same."""

from __future__ import annotations

import contextlib
import os
import secrets
import sys
from collections.abc import Iterable
from pathlib import Path

from bagwright.errors import MachineError
from bagwright.words import tell


def write_whole(path: Path, content: bytes) -> Path:
    """Write `content` to `path` so that a reader finds the old file or the new one, never a half.

    The bytes go to a hidden file beside it, to the disk, and only then under their name. Missing folders are
    made. Raises MachineError, naming the path and the machine's reason; no half file is left behind.
    """
    return write_parts(path, (content,))


def write_parts(path: Path, parts: Iterable[bytes]) -> Path:
    """Do what `write_whole` does with a file that is larger than memory should hold, part after part."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _replace(path, parts)
    except (OSError, ValueError) as error:
        reason = (error.strerror if isinstance(error, OSError) else None) or str(error)
        raise MachineError(
            tell("{path} could not be written ({reason}); no half file was left.", path=path, reason=reason),
            tell("Free some space or choose a folder that you may write to, then run it again."),
        ) from error
    return path


def quoted(text: str) -> str:
    """Write a TOML basic string: quotes, backslashes and everything unprintable escaped."""
    out = []
    for char in text:
        if char in '"\\':
            out.append("\\" + char)
        elif char.isprintable() or ord(char) > 0xFFFF:
            out.append(char)
        else:
            out.append(f"\\u{ord(char):04X}")
    return f'"{"".join(out)}"'


def _replace(path: Path, parts: Iterable[bytes]) -> None:
    hidden = path.with_name(f".{path.name[:40]}.{secrets.token_hex(6)}.part")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    handle = os.open(hidden, flags, 0o666)
    try:
        try:
            for part in parts:
                view = memoryview(part)
                while view:
                    view = view[os.write(handle, view) :]
            os.fsync(handle)
        finally:
            os.close(handle)
        os.replace(hidden, path)  # noqa: PTH105 - system calls in one style, countable in a test
    except BaseException:
        with contextlib.suppress(FileNotFoundError):
            os.unlink(hidden)  # noqa: PTH108
        raise
    _keep_name(path.parent)


def _keep_name(folder: Path) -> None:
    """Have the folder's new entry on the disk too, where the system lets a folder be opened."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
