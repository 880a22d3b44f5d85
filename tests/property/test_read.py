"""Any bytes, accounted rows, round trips, order of columns, mirror left and right."""

import csv
import io
import math
import random
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import xlwt
from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.errors import ReadError
from bagwright.shots.read import read_shots
from bagwright.shots.record import MEASURES, Mark, Shot, ShotTable
from bagwright.shots.result import ReadResult
from bagwright.shots.write import shots_as_csv, write_shots
from bagwright.units import System

HEADINGS = (
    "Club", "Carry (yd)", "Carry", "Total m", "Side", "L/R", "Side (yd, + right)", "Ball speed (mph)",
    "Smash", "Spin",
    "Launch", "Shot", "Time", "Note", "Mark", "Visit", "Setting", "Height (ft)", "Distance", "", "?",
    "carry_m",
)  # fmt: skip
CELLS = (
    "7i", "Driver", "PW", "150", "151.5", "-3", "12 R", "3.2 L", "-12 R", ">230", "230+", "0", "", " ",
    "--", "n/a",
    "12,5", "1,234", "1.234,5", "−3.2", "nan", "inf", "1e400", "0x10", "1_000", "١٢", "Average",
    "Std dev", "yd", "m",
    "heavy", "misread", "mishit", "bad-read: net", "=1+1", "@x", "2026-05-01", "10:01:02",
    "a\nb", '"', "\t", "|", ";",
)  # fmt: skip


def read(data: bytes, name: str = "visit.csv", folder: Path | None = None) -> ReadResult:
    with tempfile.TemporaryDirectory(dir=folder) as place:
        path = Path(place) / name
        path.write_bytes(data)
        return read_shots(path)


def accounted(result: ReadResult) -> None:
    assert result.rows_read == result.accepted + len(result.rejected) + len(result.left_out)
    assert result.accepted == result.table.n
    places = [(row.file, row.row) for row in result.rejected]
    places += [(row.file, row.row) for row in result.left_out]
    assert len(set(places)) == len(places)
    table = result.table
    assert table.source_row is not None
    kept = {(table.files[0] if table.files else "", int(row)) for row in table.source_row}
    assert len(kept) == table.n
    assert not kept & set(places)
    for column in table.measures.values():
        assert len(column) == table.n
        assert not np.isinf(column).any()
    for texts in table.texts.values():
        assert len(texts) == table.n
    assert all(0 <= i < table.n for i in table.marks)
    assert {flag.shot for flag in result.flagged} >= set(table.marks)


@settings(max_examples=600)
@given(st.one_of(st.binary(max_size=400), st.text(max_size=300).map(lambda t: t.encode("utf-8", "replace"))))
def test_any_bytes_are_rows_or_a_read_error(data: bytes) -> None:
    try:
        accounted(read(data))
    except ReadError as error:
        named = "visit.csv" in str(error)
    else:
        named = True
    assert named


@settings(max_examples=600)
@given(
    st.lists(st.sampled_from(HEADINGS), min_size=1, max_size=7),
    st.lists(st.lists(st.sampled_from(CELLS), max_size=8), max_size=12),
    st.sampled_from(",;\t|"),
    st.sampled_from(("utf-8", "utf-8-sig", "utf-16")),
)
def test_every_row_of_any_table_is_accounted_for(
    headings: list[str], rows: list[list[str]], delimiter: str, encoding: str
) -> None:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter)
    writer.writerow(["carry_m", *headings])
    writer.writerows(rows)
    try:
        result = read(out.getvalue().encode(encoding))
    except ReadError:
        return
    accounted(result)


def books() -> list[tuple[str, bytes]]:
    book = openpyxl.Workbook()
    old = xlwt.Workbook()
    sheet = old.add_sheet("a")
    rows: list[list[Any]] = [["Club", "Carry (yd)", "Note"], ["7i", 150.25, "x"], ["8i", 140, "heavy"]]
    for r, row in enumerate(rows):
        book.active.append(row)
        for c, cell in enumerate(row):
            sheet.write(r, c, cell)
    new_bytes, old_bytes = io.BytesIO(), io.BytesIO()
    book.save(new_bytes)
    old.save(old_bytes)
    return [("v.xlsx", new_bytes.getvalue()), ("v.xls", old_bytes.getvalue())]


BOOKS = books()


@settings(max_examples=300)
@given(st.sampled_from(BOOKS), st.integers(0, 2**32), st.integers(1, 40))
def test_damaged_workbooks_are_rows_or_a_read_error(book: tuple[str, bytes], seed: int, changes: int) -> None:
    rng = random.Random(seed)
    data = bytearray(book[1])
    for _ in range(changes):
        data[rng.randrange(len(data))] = rng.randrange(256)
    try:
        accounted(read(bytes(data), book[0]))
    except ReadError as error:
        named = book[0] in str(error)
    else:
        named = True
    assert named


NAMES = ("7 iron", "driver", "50° wedge", "pitching wedge", "mystery club")
TEXT = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), max_size=12)
RISKY = st.sampled_from(
    ("=1+1", "+1", "-1", "@a", "＝x", "＋x", "－x", "＠x", "'=x", "''", "'", "a,b", 'a"b', "x;y")
)


@st.composite
def shots(draw: st.DrawFn) -> ShotTable:
    n = draw(st.integers(1, 8))
    names = draw(st.lists(st.sampled_from(MEASURES), min_size=1, max_size=6, unique=True))
    limits = {"_m": 300.0, "_mps": 90.0, "_rad": 1.4, "_rpm": 9_000.0, "atio": 1.5, "e_s": 9.0}
    records = []
    for i in range(n):
        values: dict[str, Any] = {}
        for name in names:
            high = (
                0.05 if name.startswith("impact") else next(v for k, v in limits.items() if name.endswith(k))
            )
            given_value = draw(st.one_of(st.none(), st.floats(high / 1000, high)))
            values[name] = given_value
        if all(value is None for value in values.values()):
            values[names[0]] = 0.03
        mark = draw(st.sampled_from((None, Mark("mishit", "heavy"), Mark("bad-read", "=net", "model", 0.75))))
        records.append(
            Shot(
                club=draw(st.sampled_from(NAMES)),
                order=i + 1,
                note=draw(st.one_of(TEXT, RISKY)),
                visit=draw(st.sampled_from(("", "2026-05-01", "=1"))),
                mark=mark,
                swing=draw(st.sampled_from(("stock", "half", "low"))),
                carry_at_least="carry_m" in values and values["carry_m"] is not None and draw(st.booleans()),
                **values,
            )
        )
    return ShotTable.of(records)


def known_text(text: str) -> str:
    return " ".join(text.split())


@settings(max_examples=200)
@given(shots(), st.sampled_from(("yards", "metres")))
def test_written_shots_read_back_exactly(table: ShotTable, system: System) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "out.csv"
        write_shots(table, path, system)
        result = read_shots(path)
    back = result.table
    assert not result.rejected
    assert not result.left_out
    assert not result.open_questions
    assert back.n == table.n
    for name in MEASURES:
        np.testing.assert_array_equal(back.measure(name), table.measure(name), err_msg=name)
    for name in ("club", "visit", "swing"):
        assert list(back.text(name)) == list(table.text(name))
    assert list(back.text("note")) == [known_text(note) for note in table.text("note")]
    assert back.order.tolist() == [i + 1 for i in range(table.n)] or len(set(table.text("visit"))) > 1
    if table.marks:
        assert back.marks == table.marks
    before = table.carry_at_least if table.carry_at_least is not None else np.zeros(table.n, bool)
    after = back.carry_at_least if back.carry_at_least is not None else np.zeros(table.n, bool)
    np.testing.assert_array_equal(before, after)


@settings(max_examples=100)
@given(shots(), st.sampled_from(("yards", "metres")))
def test_no_text_cell_is_a_formula(table: ShotTable, system: System) -> None:
    rows = list(csv.reader(io.StringIO(shots_as_csv(table, system), newline="")))
    texts = [
        i for i, heading in enumerate(rows[0]) if not heading.endswith(("_yd", "_m", "_ft", "_mph", "_kmh"))
    ]
    for row in rows[1:]:
        for i in texts:
            try:
                float(row[i] or 0)
            except ValueError:
                assert not row[i].startswith(tuple("=+-@\t\r\n＝＋－＠"))


@settings(max_examples=150)
@given(st.permutations(range(6)), st.lists(st.integers(-200, 200), min_size=1, max_size=10))
def test_order_of_columns_does_not_matter(order: list[int], sides: list[int]) -> None:
    headings = ["Club", "Carry (yd)", "Side (yd)", "Ball speed (mph)", "Spin", "Note"]
    rows = [
        ["7i", str(150 + i), f"{abs(side) / 10} {'L' if side < 0 else 'R'}", "110.5", str(6000 + i), "thin"]
        for i, side in enumerate(sides)
    ]
    usual = read("\n".join(",".join(row) for row in [headings, *rows]).encode())
    other = read("\n".join(",".join(row[i] for i in order) for row in [headings, *rows]).encode())
    for name in MEASURES:
        np.testing.assert_array_equal(usual.table.measure(name), other.table.measure(name))
    assert usual.table.marks == other.table.marks
    assert list(usual.table.text("club")) == list(other.table.text("club"))


@settings(max_examples=150)
@given(
    st.lists(st.integers(-999, 999), min_size=1, max_size=10), st.sampled_from(("letter", "sign", "column"))
)
def test_mirrored_sides_mirror_the_table(sides: list[int], form: str) -> None:
    def table(values: list[int]) -> bytes:
        heading = {"letter": "Side (yd)", "sign": "Offline (yd)", "column": "Side (yd),L/R"}[form]
        lines = [f"Club,Carry (yd),{heading}"]
        for i, value in enumerate(values):
            letter = "L" if value < 0 else "R"
            size = f"{abs(value) / 10}"
            cell = {"letter": f"{size} {letter}", "sign": f"{value / 10}", "column": f"{size},{letter}"}[form]
            lines.append(f"7i,{100 + i},{cell}")
        return "\n".join(lines).encode()

    one, other = read(table(sides)).table, read(table([-value for value in sides])).table
    np.testing.assert_array_equal(one.measure("offline_m"), -other.measure("offline_m"))
    np.testing.assert_array_equal(one.measure("carry_m"), other.measure("carry_m"))
    expected = [value / 10 * 0.9144 for value in sides]
    assert all(
        math.isclose(a, b, abs_tol=1e-12) for a, b in zip(one.measure("offline_m"), expected, strict=True)
    )


@settings(max_examples=100)
@given(st.lists(st.integers(1000, 2999), min_size=1, max_size=12, unique=True), st.integers(1, 3))
def test_the_same_file_again_adds_nothing(carries: list[int], times: int) -> None:
    text = "Club,Carry (yd),Offline (yd),Spin\n" + "".join(f"7i,{c / 10},{c / 100},{c}\n" for c in carries)
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / f"visit-{i}.csv" for i in range(times + 1)]
        for path in paths:
            path.write_text(text, encoding="utf-8")
        # A longer file that holds the same rows and one more is an overlap, not a twin.
        longer = Path(folder) / "longer.csv"
        longer.write_text(text + "7i,99.9,1,999\n", encoding="utf-8")
        result = read_shots(*paths, longer)
    assert result.accepted == len(carries) + 1
    assert len(result.left_out) == len(carries) * (times + 1)
    assert all("already read from visit-0.csv row" in row.reason for row in result.left_out)
    assert result.rows_read == result.accepted + len(result.left_out)
