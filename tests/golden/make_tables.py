"""Write the workbooks of the golden tables: XLSX by openpyxl, XLS by xlwt, ODS by odfpy. Run from the root.

The files are committed; this script says how they came about. python -m tests.golden.make_tables
"""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Any

import openpyxl
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

TABLES = Path(__file__).parent / "tables"
Rows = list[list[Any]]

PLAIN: Rows = [
    ["Club", "Carry (yd)", "Side (yd)", "Spin (rpm)"],
    ["7i", 150.5, "3.5 L", 6512],
    ["PW", 110, "2 R", 8800],
    ["Driver", 231.25, "12.5 R", 2504],
]
BY_CLUB: dict[str, Rows] = {
    "7 iron": [["Carry (m)", "Offline (m)"], [140, -2.5], [141.5, 3]],
    "8 iron": [["Carry (m)", "Offline (m)"], [130, 1], ["Average", None], [131, 0]],
    "Notes": [["Nothing but words on this sheet"], ["and nothing to read"]],
}
BY_DAY: dict[str, Rows] = {
    "2026-05-01": [["Club", "Carry (m)"], ["7i", 140]],
    "2026-05-08": [["Club", "Carry (m)"], ["7i", 142], ["7i", 143]],
}
PREAMBLE: Rows = [
    ["Hitting bay two"],
    [],
    ["Surface", "mat"],
    ["Date", "2026-05-01"],
    [],
    [None, "Club", "Carry", "Total", "Height"],
    [None, None, "m", "m", "m"],
    [None, "7i", 140, 148, 28],
    [],
    [None, "7i", 141, 150, 29.5],
]
TYPES: Rows = [
    ["Club", "Time", "Carry (yd)", "Smash", "Note"],
    ["7i", datetime.datetime(2026, 5, 1, 10, 2, 3), 150, 1.33, None],
    ["7i", datetime.datetime(2026, 5, 1, 10, 1, 3), 151.5, 1.35, "heavy"],
    ["7i", datetime.datetime(2026, 5, 1, 10, 3, 3), "n/a", "#DIV/0!", None],
    ["7i", datetime.datetime(2026, 5, 1, 10, 4, 3), 152, 1.34, True],
]
AWAY: Rows = [[None] * 3 for _ in range(20)] + [
    [None, None, None, "Club", "Carry (yd)"],
    [None, None, None, "7i", 150],
    [None, None, None, "8i", 140],
]


def xlsx(name: str, sheets: dict[str, Rows], hidden: str = "") -> None:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
        if title == hidden:
            sheet.sheet_state = "hidden"
    book.save(TABLES / name)


def xls(name: str, sheets: dict[str, Rows]) -> None:
    book = xlwt.Workbook()
    when = xlwt.easyxf(num_format_str="YYYY-MM-DD HH:MM:SS")
    for title, rows in sheets.items():
        sheet = book.add_sheet(title)
        for r, row in enumerate(rows):
            for c, cell in enumerate(row):
                if isinstance(cell, datetime.datetime):
                    sheet.write(r, c, cell, when)
                elif cell is not None:
                    sheet.write(r, c, cell)
    book.save(str(TABLES / name))


def ods(name: str, sheets: dict[str, Rows]) -> None:
    book = OpenDocumentSpreadsheet()
    for title, rows in sheets.items():
        table = Table(name=title)
        for row in rows:
            line = TableRow()
            for cell in row:
                line.addElement(ods_cell(cell))
            table.addElement(line)
        # What a spreadsheet program writes after the last row: a million empty ones.
        empty = TableRow(numberrowsrepeated="1048000")
        empty.addElement(TableCell(numbercolumnsrepeated="16384"))
        table.addElement(empty)
        book.spreadsheet.addElement(table)
    book.save(str(TABLES / name))


def ods_cell(cell: Any) -> TableCell:
    if cell is None:
        return TableCell()
    if isinstance(cell, int | float):
        made = TableCell(valuetype="float", value=str(cell))
    else:
        made = TableCell(valuetype="string")
    made.addElement(P(text=str(cell)))
    return made


def main() -> None:
    TABLES.mkdir(exist_ok=True)
    xlsx("workbook-plain.xlsx", {"Shots": PLAIN})
    xls("workbook-plain.xls", {"Shots": PLAIN})
    ods("workbook-plain.ods", {"Shots": PLAIN})
    xlsx("workbook-sheet-a-club.xlsx", BY_CLUB)
    ods("workbook-sheet-a-club.ods", BY_CLUB)
    xlsx("workbook-sheet-a-day.xlsx", BY_DAY)
    xls("workbook-sheet-a-day.xls", BY_DAY)
    xlsx("workbook-preamble.xlsx", {"Visit": PREAMBLE})
    ods("workbook-preamble.ods", {"Visit": PREAMBLE})
    xlsx("workbook-types.xlsx", {"Visit": TYPES})
    xls("workbook-types.xls", {"Visit": TYPES})
    xlsx("workbook-hidden-sheet.xlsx", {"Old": BY_DAY["2026-05-01"], "New": PLAIN}, hidden="Old")
    xlsx("workbook-away-from-the-corner.xlsx", {"Shots": AWAY})


if __name__ == "__main__":
    main()
