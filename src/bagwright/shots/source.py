"""From a path to tables of text: what kind of file it is, its encoding, its sheets."""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from bagwright.errors import ReadError
from bagwright.shots.blocks import ListedRows, Rows, text_rows
from bagwright.shots.limits import Limits
from bagwright.shots.sheets import check_workbook, kind_of, sheets_of
from bagwright.shots.textfile import decode, sniff_delimiter
from bagwright.shots.texts import display_name
from bagwright.words import tell


@dataclass(slots=True)
class Sheet:
    """One table-like thing: a text file, or one sheet of a workbook. `rows` can be run through once."""

    file: str
    path_name: str
    kind: str
    rows: Rows
    encoding: str = ""
    delimiter: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """One file as it lies on the disk."""

    file: str
    raw: bytes
    digest: str


def open_source(path: str | os.PathLike[str], limits: Limits) -> Source:
    """Read a file's bytes. Raises ReadError when it is missing, no ordinary file, empty or too large."""
    name = display_name(os.fsdecode(path))
    try:
        with Path(path).open("rb") as stream:
            facts = os.fstat(stream.fileno())
            if not stat.S_ISREG(facts.st_mode):
                raise ReadError(
                    tell("{name} is no ordinary file.", name=name), tell("Give the table itself.")
                )
            if facts.st_size > limits.file_bytes:
                size, most = facts.st_size / 2**20, limits.file_bytes / 2**20
                raise ReadError(
                    tell(
                        "{name} has {size:.0f} MiB, more than {most:.0f} MiB.",
                        name=name,
                        size=size,
                        most=most,
                    ),
                    tell("Split it."),
                )
            raw = stream.read(limits.file_bytes + 1)
    except FileNotFoundError as error:
        raise ReadError(
            tell("{name} is not there.", name=name), tell("Check the name and the folder.")
        ) from error
    except IsADirectoryError as error:
        raise ReadError(tell("{name} is a folder.", name=name), tell("Give the table itself.")) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or tell("its name cannot be used")
        raise ReadError(
            tell("{name} cannot be opened ({reason}).", name=name, reason=reason),
            tell("Check the name and the permissions."),
        ) from error
    if len(raw) > limits.file_bytes:
        raise ReadError(
            tell(
                "{name} grew beyond {file_bytes} MiB while it was read.",
                name=name,
                file_bytes=limits.file_bytes // 2**20,
            ),
            tell("Split it."),
        )
    if not raw.strip(b" \t\r\n\x00\xef\xbb\xbf\xff\xfe"):
        raise ReadError(tell("{name} is empty.", name=name), tell("Give a table with headings and shots."))
    return Source(name, raw, hashlib.sha256(raw).hexdigest())


def tables_of(source: Source, columns: dict[str, str], limits: Limits) -> Iterator[Sheet]:
    """Every table of a file: the text itself, or the visible sheets of a workbook that hold something."""
    if kind_of(source.raw) == "text":
        text, encoding = decode(source.raw, source.file)
        delimiter, text = sniff_delimiter(text, columns)
        yield Sheet(
            source.file,
            source.file,
            "text",
            text_rows(text, delimiter, source.file, limits),
            encoding,
            delimiter,
        )
        return
    kind = check_workbook(source.raw, source.file, limits)
    sheets = [
        (name, rows) for name, rows in sheets_of(source.raw, source.file, limits) if any(map(any, rows))
    ]
    if not sheets:
        raise ReadError(
            tell("{file} has no visible sheet with anything on it.", file=source.file),
            tell("Check the file."),
        )
    for name, listed in sheets:
        file = source.file if len(sheets) == 1 else f"{source.file} [{name}]"
        yield Sheet(file, source.file, kind, ListedRows(listed), name=name)
