"""Answers to what a shot table leaves open, kept in a small file of our own (TOML).

[answers]
"length unit" = "m"

[columns]
"Lateral" = "offline yd right"

[clubs]
"Blue one" = "54 wedge, low bounce"
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator, Mapping, MutableMapping
from pathlib import Path

from bagwright.errors import InputError, ReadError
from bagwright.files import quoted, write_whole
from bagwright.words import join, tell

_MAX_BYTES = 1_000_000
_TABLES = ("answers", "columns", "clubs")


class Answers(MutableMapping[str, str]):
    """Question key -> chosen option, with what was said of columns and of clubs beside it.

    `columns` maps a heading as written to "NAME UNIT" (names of docs/names.md; for a side also "right" or
    "left", whichever is positive) or to "ignore". `clubs` maps a spelling to the name of a build.
    A key can be narrowed to one file: "length unit @ visit.csv".
    """

    def __init__(
        self,
        answers: Mapping[str, str] | None = None,
        columns: Mapping[str, str] | None = None,
        clubs: Mapping[str, str] | None = None,
    ) -> None:
        self._answers = dict(answers or {})
        self.columns = dict(columns or {})
        self.clubs = dict(clubs or {})

    def __getitem__(self, key: str) -> str:
        return self._answers[key]

    def __setitem__(self, key: str, option: str) -> None:
        self._answers[key] = option

    def __delitem__(self, key: str) -> None:
        del self._answers[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._answers)

    def __len__(self) -> int:
        return len(self._answers)

    def __repr__(self) -> str:
        return f"Answers({self._answers!r}, columns={self.columns!r}, clubs={self.clubs!r})"

    def answer(self, key: str, file: str, options: tuple[str, ...]) -> str | None:
        """Return the chosen option for `key` in `file`, or None when nobody has answered yet.

        Raises InputError for an answer that is not one of the options.
        """
        for name in (f"{key} @ {file}", key):
            if name not in self._answers:
                continue
            wanted = self._answers[name]
            for option in options:
                if wanted.strip().casefold() == option.casefold():
                    return option
            raise InputError(
                tell(
                    '{file}: the answer "{wanted}" to "{name}" is not one of: {options}.',
                    file=file,
                    wanted=wanted[:60],
                    name=name,
                    options=join(", ", options),
                ),
                tell("Choose one of these."),
            )
        return None

    @classmethod
    def load(cls, path: str | os.PathLike[str]) -> Answers:
        """Read an answer file. Raises ReadError naming the file, the line or the key that is wrong."""
        file = Path(path)
        try:
            if file.stat().st_size > _MAX_BYTES:
                raise ReadError(
                    tell(
                        "{file} is larger than {max_bytes} bytes, so it is no answer file.",
                        file=file.name,
                        max_bytes=_MAX_BYTES,
                    )
                )
            raw = file.read_bytes()
        except OSError as error:
            raise ReadError(
                tell("{file} cannot be opened ({strerror}).", file=file.name, strerror=error.strerror),
                tell("Check the name after --map."),
            ) from error
        except ValueError as error:
            raise ReadError(
                tell("The name of the answer file cannot be used."), tell("Check the name.")
            ) from error
        try:
            data = tomllib.loads(raw.decode("utf-8-sig"))
        except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
            raise ReadError(
                tell("{file} is not a TOML file ({error}).", file=file.name, error=error),
                tell("Correct that line."),
            ) from error
        return cls(**_tables(file.name, data))

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the answers; a crash leaves the old file or the new one, never half of it.

        Raises MachineError when the disk is full or the folder cannot be written.
        """
        lines = ["# What was answered about shot tables. Names: docs/names.md."]
        for title, table in zip(_TABLES, (self._answers, self.columns, self.clubs), strict=True):
            lines += ["", f"[{title}]"]
            lines += [f"{quoted(key)} = {quoted(value)}" for key, value in table.items()]
        write_whole(Path(path), ("\n".join(lines) + "\n").encode())


def _tables(name: str, data: Mapping[str, object]) -> dict[str, dict[str, str]]:
    unknown = [key for key in data if key not in _TABLES]
    if unknown:
        raise ReadError(
            tell(
                '{name}: "{unknown}" is not known; there are {tables}.',
                name=name,
                unknown=unknown[0],
                tables=join(", ", _TABLES),
            ),
            tell("Correct it."),
        )
    tables: dict[str, dict[str, str]] = {}
    for title in _TABLES:
        table = data.get(title, {})
        if not isinstance(table, dict):
            raise ReadError(
                tell("{name}: [{title}] must be a table.", name=name, title=title),
                tell("Write lines like key = value under it."),
            )
        for key, value in table.items():
            if not isinstance(value, str):
                raise ReadError(
                    tell(
                        '{name}: the value of "{key}" in [{title}] must be text in quotes.',
                        name=name,
                        key=key,
                        title=title,
                    ),
                    tell("Correct it."),
                )
        tables[title] = dict(table)
    return tables
