"""Files from outside: opened once, of bounded size, with a name that may be shown."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from bagwright.course import limits
from bagwright.errors import InputError
from bagwright.shots.texts import display_name
from bagwright.words import tell

Given = str | os.PathLike[str] | bytes
"""A path, or a file's bytes."""


def opened(source: Given, name: str) -> tuple[bytes, str]:
    """Give the bytes of a source and the name to show. Raises InputError for what cannot be read."""
    if not isinstance(source, bytes):
        return read_bytes(source, limits.FILE_BYTES)
    file = display_name(name or "the file")
    check_size(len(source), limits.FILE_BYTES, file)
    return source, file


def check_size(size: int, most: int, file: str) -> None:
    """Raise InputError for a file above the limit, or an empty one."""
    if size > most:
        raise InputError(
            tell(
                "{file} has {size:.0f} MiB, more than {most:.0f} MiB.",
                file=file,
                size=size / 2**20,
                most=most / 2**20,
            ),
            tell("Cut it to the one golf course."),
        )
    if size == 0:
        raise InputError(tell("{file} is empty.", file=file), tell("Give a map or a scorecard."))


def read_bytes(path: str | os.PathLike[str], most: int) -> tuple[bytes, str]:
    """Read an ordinary file of bounded size; give its bytes and the name to show."""
    file = display_name(os.fsdecode(path))
    try:
        with Path(path).open("rb") as stream:
            facts = os.fstat(stream.fileno())
            if not stat.S_ISREG(facts.st_mode):
                raise InputError(
                    tell("{file} is no ordinary file.", file=file),
                    tell("Give the map or the scorecard itself."),
                )
            check_size(facts.st_size, most, file)
            raw = stream.read(most + 1)
    except FileNotFoundError as error:
        raise InputError(
            tell("{file} is not there.", file=file), tell("Check the name and the folder.")
        ) from error
    except IsADirectoryError as error:
        raise InputError(
            tell("{file} is a folder.", file=file), tell("Give the map or the scorecard itself.")
        ) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or tell("its name cannot be used")
        raise InputError(
            tell("{file} cannot be opened ({reason}).", file=file, reason=reason),
            tell("Check the name and the permissions."),
        ) from error
    check_size(len(raw), most, file)
    return raw, file
