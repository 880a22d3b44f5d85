"""The rows of a study as a table: CSV always, Parquet where pyarrow is installed. Written part by part."""

from __future__ import annotations

import csv
import importlib.util
import io
import os
import secrets
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import islice
from pathlib import Path
from typing import Literal

from bagwright.errors import MachineError
from bagwright.files import write_parts
from bagwright.shots.texts import escaped
from bagwright.study.task import Cell
from bagwright.words import tell

Kind = Literal["text", "number", "whole", "flag"]
Columns = Mapping[str, Kind]
Row = Mapping[str, Cell]
A_PART = 10_000
"""Rows that are written at a time."""


def write_csv(path: Path, columns: Columns, rows: Iterable[Row]) -> Path:
    """Write a CSV table (RFC 4180, UTF-8): an empty cell is missing, no text is taken for a formula."""
    return write_parts(path, _csv_parts(list(columns), iter(rows)))


def _csv_parts(names: Sequence[str], rows: Iterator[Row]) -> Iterator[bytes]:
    part: list[Row] = []
    head = True
    while head or part:
        text = io.StringIO(newline="")
        writer = csv.writer(text, lineterminator="\r\n")
        if head:
            writer.writerow(names)
        writer.writerows([_cell(row.get(name)) for name in names] for row in part)
        yield text.getvalue().encode()
        head = False
        part = list(islice(rows, A_PART))


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return escaped(value) if isinstance(value, str) else repr(value)


def has_parquet() -> bool:
    """Whether a Parquet table can be written here."""
    return importlib.util.find_spec("pyarrow") is not None


def write_parquet(path: Path, columns: Columns, rows: Iterable[Row]) -> Path:
    """Write a Parquet table; the file appears whole or not at all. Raises MachineError."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    types = {"text": pa.string(), "number": pa.float64(), "whole": pa.int64(), "flag": pa.bool_()}
    schema = pa.schema([(name, types[kind]) for name, kind in columns.items()])
    hidden = path.with_name(f".{path.name}.{secrets.token_hex(6)}.part")
    source = iter(rows)
    try:
        with pq.ParquetWriter(str(hidden), schema) as writer:
            while part := list(islice(source, A_PART)):
                writer.write_table(pa.Table.from_pylist([dict(row) for row in part], schema=schema))
        handle = os.open(hidden, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
        hidden.replace(path)
    except OSError as error:
        raise MachineError(
            tell(
                "{path} could not be written ({reason}); no half file was left.", path=path, reason=str(error)
            ),
            tell("Free some space or choose a folder that you may write to, then run it again."),
        ) from error
    finally:
        with suppress(FileNotFoundError):
            hidden.unlink()
    return path
