"""How much of a file is read before it is refused."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits on a shot file; all are inclusive. The defaults hold a season of any bay many times over."""

    file_bytes: int = 128 * 2**20
    """Size of the file on the disk: a million launches with their flights have 110 MiB."""
    rows: int = 1_048_576
    """Rows of one table, as many as a spreadsheet holds."""
    columns: int = 512
    """Columns of one table."""
    cell_characters: int = 32_767
    """Characters in one cell of text, as many as a spreadsheet holds."""
    sheets: int = 64
    """Sheets of one workbook."""
    cells: int = 2_000_000
    """Cells of one sheet of a workbook, the empty ones inside its used rectangle counted."""
    members: int = 1_000
    """Files inside the container that a workbook is."""
    unpacked_bytes: int = 96 * 2**20
    """Size of a workbook once unpacked."""
    ratio: int = 200
    """Unpacked against packed size of one part of a workbook above 1 MiB."""
    preamble_rows: int = 60
    """Rows that may stand above the headings."""
    questions: int = 200
    """Questions asked about one reading; more means that this is not a shot table."""
    files: int = 1_000
    """Files in one reading."""
