"""Workbooks: XLSX, XLS and ODS, looked over first, then read by calamine into rows of text."""

from __future__ import annotations

import datetime
import io
import re
import zipfile
from collections.abc import Iterator

from bagwright.errors import ReadError
from bagwright.shots.container import SAVE_AGAIN, open_container, parse_xml, part, refuse_entities, xml_parts
from bagwright.shots.limits import Limits
from bagwright.shots.oldbook import check_old_workbook
from bagwright.shots.texts import clean, shown
from bagwright.words import tell

OLE_START = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_CELL_PLACE = re.compile(rb"\sr\s*=\s*[\"']([A-Za-z]{0,8})([0-9]{1,12})[\"']")


def kind_of(raw: bytes) -> str:
    """Return what a file is by its first bytes, whatever its name says: "text", "zip" or "xls"."""
    if raw.startswith(OLE_START):
        return "xls"
    return "zip" if raw[:4] in (b"PK\x03\x04", b"PK\x05\x06", b"PK\x07\x08") else "text"


def check_workbook(raw: bytes, file: str, limits: Limits) -> str:
    """Look a workbook over before another library touches it; returns "xlsx", "ods" or "xls".

    Raises ReadError for whatever is beyond the limits or has no place in a shot table.
    """
    if kind_of(raw) == "xls":
        check_old_workbook(raw, file, limits)
        return "xls"
    with open_container(raw, file, limits) as container:
        names = set(container.namelist())
        if "content.xml" in names:
            kind = "ods"
        elif "xl/workbook.xml" in names or any(
            name.startswith("xl/") and name.endswith(".xml") for name in names
        ):
            kind = "xlsx"
        else:
            raise ReadError(
                tell("{file} is a container, but no workbook.", file=file),
                tell("Give the table itself, not an archive."),
            )
        for name in xml_parts(container):
            data = part(container, name, file, limits)
            refuse_entities(data, file)
            _check_part(name, data, file, limits)
        _check_rest(container, file, limits)
    return kind


def _check_rest(container: zipfile.ZipFile, file: str, limits: Limits) -> None:
    """Unpack the parts that are no XML once, so that a forged size shows before calamine meets it."""
    xml = set(xml_parts(container))
    for member in container.infolist():
        if member.filename not in xml and member.file_size:
            part(container, member.filename, file, limits)


def _check_part(name: str, data: bytes, file: str, limits: Limits) -> None:
    lowered = name.casefold()
    if lowered == "content.xml":
        _check_ods_size(data, file, limits)
    elif "sheet" in lowered and lowered.endswith(".xml"):
        _check_xlsx_size(data, file, limits)


def _check_xlsx_size(data: bytes, file: str, limits: Limits) -> None:
    """Refuse a sheet whose used rectangle is too large, by the places that its cells name."""
    columns, rows = set(), set()
    for letters, digits in _CELL_PLACE.findall(data):
        columns.add(bytes(letters).upper())
        rows.add(int(digits))
    if not rows:
        return
    numbers = [_column_number(letters) for letters in columns if letters] or [1]
    _check_cells(max(rows) - min(rows) + 1, max(numbers) - min(numbers) + 1, file, limits)


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _check_cells(rows: int, columns: int, file: str, limits: Limits) -> None:
    if rows > limits.rows or columns > 16_384 or rows * columns > limits.cells:
        raise ReadError(
            tell(
                "{file} has a sheet of {rows} x {columns} cells, more than {cells}.",
                file=file,
                rows=rows,
                columns=columns,
                cells=limits.cells,
            ),
            tell("Remove what stands far outside the table, or save it as CSV."),
        )


class _OdsSize:
    """Counts the used rectangle of every table of an ODS, repeated rows and cells included."""

    def __init__(self, file: str, limits: Limits) -> None:
        self.file, self.limits = file, limits
        self.rows = self.columns = self.row_repeat = self.at = self.used = 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        local = name.rpartition(":")[2]
        if local == "table":
            self.rows = self.columns = 0
        elif local == "table-row":
            self.row_repeat = self._repeat(attributes, "number-rows-repeated")
            self.at = self.used = 0
        elif local in ("table-cell", "covered-table-cell"):
            self.at += self._repeat(attributes, "number-columns-repeated")
            if any(key.rpartition(":")[2] in ("value-type", "formula") for key in attributes):
                self.used = self.at
        elif local in ("p", "h"):
            self.used = self.at

    def end(self, name: str) -> None:
        if name.rpartition(":")[2] != "table-row":
            return
        self.rows += self.row_repeat
        if self.used:
            self.columns = max(self.columns, self.used)
            _check_cells(self.rows, self.columns, self.file, self.limits)
            if self.row_repeat * self.used > self.limits.cells:
                raise ReadError(tell("{file} repeats a row too often.", file=self.file), SAVE_AGAIN)

    def _repeat(self, attributes: dict[str, str], wanted: str) -> int:
        for key, value in attributes.items():
            if key.rpartition(":")[2] == wanted:
                if not re.fullmatch(r"[0-9]{1,7}", value):
                    raise ReadError(tell("{file} is a damaged workbook.", file=self.file), SAVE_AGAIN)
                return int(value)
        return 1


def _check_ods_size(data: bytes, file: str, limits: Limits) -> None:
    size = _OdsSize(file, limits)
    parse_xml(data, size.start, size.end, file)


def sheets_of(raw: bytes, file: str, limits: Limits) -> Iterator[tuple[str, list[list[str]]]]:
    """Every visible sheet of a checked workbook: its name and its rows as text, from the first row on.

    Numbers become the shortest text that reads back exactly. Raises ReadError.
    """
    from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(raw)) as book:
            visible = [
                sheet.name
                for sheet in book.sheets_metadata
                if sheet.visible == SheetVisibleEnum.Visible and sheet.typ == SheetTypeEnum.WorkSheet
            ]
            if len(visible) > limits.sheets:
                raise ReadError(
                    tell(
                        "{file} has {visible} sheets, more than {sheets}.",
                        file=file,
                        visible=len(visible),
                        sheets=limits.sheets,
                    ),
                    tell("Split it."),
                )
            for name in visible:
                rows = book.get_sheet_by_name(name).to_python(skip_empty_area=False)
                yield clean(name, 60), [[as_text(cell) for cell in row] for row in rows]
    except ReadError:
        raise
    except (CalamineError, OSError, ValueError, OverflowError) as error:
        raise ReadError(
            tell("{file} is a damaged workbook ({shown}).", file=file, shown=shown(str(error))), SAVE_AGAIN
        ) from error
    except BaseException as error:
        # A panic inside calamine arrives as an exception that is no Exception.
        if type(error).__name__ != "PanicException":
            raise
        raise ReadError(tell("{file} is a damaged workbook.", file=file), SAVE_AGAIN) from error


def as_text(cell: object) -> str:
    """Return a cell of a workbook as text; numbers exactly, whole numbers without a decimal point."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime.datetime):
        midnight = cell.time() == datetime.time(0)
        return cell.date().isoformat() if midnight else cell.isoformat(sep=" ", timespec="seconds")
    if isinstance(cell, datetime.date | datetime.time):
        return cell.isoformat()
    return str(cell)
