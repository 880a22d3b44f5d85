"""Hostile and broken shot files: rows or a ReadError, within seconds and limits, never anything else."""

import io
import os
import struct
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest
import xlwt

from bagwright.errors import InputError, ReadError
from bagwright.shots.answers import Answers
from bagwright.shots.limits import Limits
from bagwright.shots.read import read_shots

SHEET = "xl/worksheets/sheet1.xml"


def workbook() -> bytes:
    book = openpyxl.Workbook()
    book.active.append(["Club", "Carry (yd)", "Offline (yd)"])
    book.active.append(["7i", 150.5, -3])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def repacked(change: dict[str, bytes], add: dict[str, bytes] | None = None) -> bytes:
    """The workbook with parts changed or added."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook())) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            new.writestr(name, change.get(name, old.read(name)))
        for name, data in (add or {}).items():
            new.writestr(name, data)
    return out.getvalue()


def refused(
    path: Path, data: bytes, words: str, *, within_s: float = 2.0, limits: Limits | None = None
) -> None:
    path.write_bytes(data)
    start = time.process_time()
    with pytest.raises(ReadError, match=words) as caught:
        read_shots(path, limits=limits)
    assert time.process_time() - start < within_s
    assert path.name in str(caught.value)


@pytest.fixture(autouse=True, scope="module")
def _libraries_are_loaded(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Load numpy and calamine once, so that the times below are those of the refusal alone."""
    path = tmp_path_factory.mktemp("warm") / "warm.xlsx"
    path.write_bytes(workbook())
    assert read_shots(path).accepted == 1


def test_zip_bomb_is_refused_in_a_quarter_of_a_second(tmp_path: Path) -> None:
    bomb = repacked({SHEET: b"<a>" + b"0" * 90_000_000})
    refused(tmp_path / "bomb.xlsx", bomb, "packed more than 200 times", within_s=0.25)


def test_many_middling_parts_beyond_the_unpacked_size_are_refused(tmp_path: Path) -> None:
    part = os.urandom(6_000) * 2_000
    data = repacked({}, {f"xl/media/{i}.bin": part for i in range(9)})
    refused(tmp_path / "wide.xlsx", data, "unpack", within_s=0.25, limits=Limits(ratio=10**9))


def test_forged_size_is_refused(tmp_path: Path) -> None:
    data = bytearray(repacked({SHEET: b"<a>" + b"0" * 5_000_000}))
    at = data.rfind(struct.pack("<I", 5_000_003))
    while at >= 0:
        data[at : at + 4] = struct.pack("<I", 1_000)
        at = data.rfind(struct.pack("<I", 5_000_003))
    refused(tmp_path / "forged.xlsx", bytes(data), "damaged|larger than it says", within_s=0.25)


def test_five_thousand_parts_are_refused(tmp_path: Path) -> None:
    data = repacked({}, {f"xl/p{i}.bin": b"" for i in range(5_000)})
    refused(tmp_path / "many.xlsx", data, "more than 1000", within_s=0.5)


def test_nested_containers_are_refused(tmp_path: Path) -> None:
    refused(
        tmp_path / "nested.xlsx",
        repacked({}, {"xl/inner.zip": workbook()}),
        "another container",
        within_s=0.5,
    )


@pytest.mark.parametrize("name", ["../../etc/evil.xml", "/etc/evil.xml", "C:/evil.xml", "..\\evil.xml"])
def test_parts_that_point_outside_are_refused(tmp_path: Path, name: str) -> None:
    refused(tmp_path / "outside.xlsx", repacked({}, {name: b"<a/>"}), "points outside")


def test_link_inside_a_container_is_refused(tmp_path: Path) -> None:
    out = io.BytesIO(workbook())
    with zipfile.ZipFile(out, "a") as book:
        link = zipfile.ZipInfo("xl/worksheets/link.xml")
        link.external_attr = 0o120777 << 16
        book.writestr(link, "/etc/passwd")
    refused(tmp_path / "link.xlsx", out.getvalue(), "link")


ENTITY = (
    b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]><worksheet>&x;</worksheet>'
)
LAUGHS = (
    b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]><worksheet>&b;</worksheet>'
)


@pytest.mark.parametrize("part", [ENTITY, LAUGHS])
@pytest.mark.parametrize("name", [SHEET, "xl/workbook.xml", "[Content_Types].xml"])
def test_entities_are_refused(tmp_path: Path, name: str, part: bytes) -> None:
    refused(tmp_path / "entities.xlsx", repacked({name: part}), "entities")


def test_entities_hidden_in_another_encoding_are_refused(tmp_path: Path) -> None:
    hidden = ENTITY.decode().encode("utf-16")
    refused(tmp_path / "hidden.xlsx", repacked({SHEET: hidden}), "no plain XML")


def test_entities_in_an_ods_are_refused(tmp_path: Path) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as book:
        book.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        book.writestr("content.xml", ENTITY)
    refused(tmp_path / "entities.ods", out.getvalue(), "entities")


def test_ods_that_repeats_a_cell_without_end_is_refused(tmp_path: Path) -> None:
    space = "urn:oasis:names:tc:opendocument:xmlns:"
    content = (
        f'<o:document-content xmlns:o="{space}office:1.0" xmlns:t="{space}table:1.0" '
        f'xmlns:x="{space}text:1.0">'
        '<o:body><o:spreadsheet><t:table t:name="a"><t:table-row t:number-rows-repeated="1000000">'
        '<t:table-cell t:number-columns-repeated="16384" o:value-type="float" o:value="1"><x:p>1</x:p>'
        "</t:table-cell></t:table-row></t:table></o:spreadsheet></o:body></o:document-content>"
    )
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as book:
        book.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        book.writestr("content.xml", content)
    refused(tmp_path / "repeat.ods", out.getvalue(), "more than", within_s=0.25)


@pytest.mark.parametrize("attribute", [b'r="XFD1048576"', b"r='XFD1048576'", b'r = "XFD1048576"'])
def test_xlsx_with_two_cells_far_apart_is_refused(tmp_path: Path, attribute: bytes) -> None:
    """A reader that keeps the rectangle between them would need hundreds of gigabytes."""
    sheet = (
        b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        b'<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c ' + attribute + b"><v>1</v></c></row>"
        b"</sheetData></worksheet>"
    )
    refused(tmp_path / "far.xlsx", repacked({SHEET: sheet}), "more than", within_s=0.25)


def test_xls_with_two_cells_far_apart_is_refused(tmp_path: Path) -> None:
    book = xlwt.Workbook()
    sheet = book.add_sheet("a")
    sheet.write(0, 0, 1)
    sheet.write(65_535, 255, 1)
    out = io.BytesIO()
    book.save(out)
    refused(tmp_path / "far.xls", out.getvalue(), "more than", within_s=0.5)


def test_xls_with_a_chain_of_sectors_that_meets_itself_is_refused(tmp_path: Path) -> None:
    book = xlwt.Workbook()
    book.add_sheet("a").write(0, 0, "Carry (yd)")
    out = io.BytesIO()
    book.save(out)
    data = bytearray(out.getvalue())
    table = struct.unpack_from("<I", data, 76)[0]
    for i in range(len(data) // 512 - 2):
        struct.pack_into("<I", data, (table + 1) * 512 + 4 * i, i)
    refused(tmp_path / "chain.xls", bytes(data), "damaged")


def test_external_links_and_macros_are_not_followed(tmp_path: Path) -> None:
    """The parts are there, the cells are read, and nothing goes out: no socket is opened."""
    link = b'<?xml version="1.0"?><externalLink><externalBook id="http://127.0.0.1:9/x.xlsx"/></externalLink>'
    data = repacked({}, {"xl/externalLinks/externalLink1.xml": link, "xl/vbaProject.bin": b"\xd0\xcf macro"})
    path = tmp_path / "links.xlsx"
    path.write_bytes(data)
    code = (
        "import sys, socket\n"
        "def no(*a, **k): raise SystemExit('a socket was opened')\n"
        "socket.socket.connect = no; socket.create_connection = no\n"
        "from bagwright.shots.read import read_shots\n"
        "print(read_shots(sys.argv[1]).accepted)"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "1"


@pytest.mark.parametrize("size", [200, 1_000, 3_000])
def test_cut_off_workbooks_are_refused(tmp_path: Path, size: int) -> None:
    refused(tmp_path / "cut.xlsx", workbook()[:size], "damaged")


def test_container_that_is_no_workbook_is_refused(tmp_path: Path) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("visit.csv", "Club,Carry (yd)\n7i,150\n")
    refused(tmp_path / "archive.xlsx", out.getvalue(), "no workbook")


def test_kind_is_told_by_content_not_by_name(tmp_path: Path) -> None:
    (tmp_path / "wrong.csv").write_bytes(workbook())
    (tmp_path / "wrong.xlsx").write_text("Club,Carry (yd)\n7i,150\n", encoding="utf-8")
    assert read_shots(tmp_path / "wrong.csv").accepted == 1
    assert read_shots(tmp_path / "wrong.xlsx").accepted == 1


def test_ten_megabyte_cell_is_an_error_with_its_line(tmp_path: Path) -> None:
    path = tmp_path / "wide.csv"
    for cell in ("x" * 10_000_000, '"' + "x" * 10_000_000 + '"'):
        path.write_text(f"Club,Carry (yd),Note\n7i,150,\n7i,151,{cell}\n", encoding="utf-8")
        with pytest.raises(ReadError, match=r"(line|row) 3.*32767 characters"):
            read_shots(path)


def test_ten_megabyte_number_rejects_its_row_only(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    path.write_text("Club,Carry (yd)\n7i,150\n7i," + "1" * 10_000_000 + "\n", encoding="utf-8")
    start = time.process_time()
    result = read_shots(path)
    assert time.process_time() - start < 2.0
    assert [(row.row, row.reason) for row in result.rejected] == [(3, "too long for a number")]
    assert len(result.rejected[0].value) <= 60


def test_too_many_columns_are_refused(tmp_path: Path) -> None:
    refused(tmp_path / "columns.csv", b"Carry (yd)" + b",a" * 600 + b"\n1\n", "601 cells")


def test_too_many_rows_are_refused(tmp_path: Path) -> None:
    refused(
        tmp_path / "rows.csv", b"Carry (yd),a\n" + b"1,\n" * 50, "more than 40 rows", limits=Limits(rows=40)
    )


def test_file_beyond_the_size_is_refused(tmp_path: Path) -> None:
    refused(tmp_path / "big.csv", b"Carry (yd),a\n" + b"1,\n" * 50, "MiB", limits=Limits(file_bytes=100))


def test_sheets_beyond_the_limit_are_refused(tmp_path: Path) -> None:
    refused(tmp_path / "sheets.xlsx", workbook(), "sheets", limits=Limits(sheets=0))


def test_more_questions_than_the_limit_are_refused(tmp_path: Path) -> None:
    refused(tmp_path / "open.csv", b"Carry,Speed,Side\n150,3,4\n", "open", limits=Limits(questions=2))


@pytest.mark.parametrize(
    ("content", "line"),
    [(b"Carry (yd),a\n1,\x00\n", 2), (b"Carry (yd),a\n1,\n2,\x07\n", 3), (b"\x89PNG\r\n\x1a\n", 2)],
)
def test_binary_content_is_refused_with_its_line(tmp_path: Path, content: bytes, line: int) -> None:
    refused(tmp_path / "binary.csv", content, f"line {line}")


@pytest.mark.parametrize("content", [b"", b"\n\n", b"\xef\xbb\xbf", b"\xff\xfe", b"   \r\n"])
def test_empty_files_are_refused(tmp_path: Path, content: bytes) -> None:
    refused(tmp_path / "empty.csv", content, "is empty")


def test_open_quote_is_an_error_with_its_line(tmp_path: Path) -> None:
    refused(tmp_path / "quote.csv", b'Carry (yd),Note\n1,a\n2,"b\n3,c\n', "line [34].*never closed")


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("a\u202egpj.csv", "agpj.csv"),
        ("a\x1b[31mb.csv", "a[31mb.csv"),
        ("..\\..\\x.csv", "x.csv"),
        ("a\nb.csv", "a b.csv"),
    ],
)
def test_file_names_are_cleaned_for_display(tmp_path: Path, name: str, shown: str) -> None:
    path = tmp_path / name
    path.write_text("Club,Carry (yd)\n7i,150\n7i,x\n", encoding="utf-8")
    result = read_shots(path)
    assert result.rejected[0].file == shown
    assert result.table.files == (shown,)


@pytest.mark.parametrize(
    "name", ["no/such.csv", "a\0b.csv", "x" * 300 + ".csv", "../" * 50 + "etc/hidden-nowhere.csv"]
)
def test_names_that_lead_nowhere_are_read_errors(tmp_path: Path, name: str) -> None:
    with pytest.raises(ReadError):
        read_shots(str(tmp_path / name))


def test_folders_and_devices_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ReadError, match=r"folder|ordinary"):
        read_shots(tmp_path)
    if Path("/dev/zero").exists():
        with pytest.raises(ReadError, match="ordinary"):
            read_shots("/dev/zero")


def test_no_file_and_too_many_files_are_input_errors(tmp_path: Path) -> None:
    with pytest.raises(InputError):
        read_shots()
    with pytest.raises(InputError, match="more than 2"):
        read_shots("a", "b", "c", limits=Limits(files=2))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[answers\n", "TOML"), ("[answers]\na = 1\n", "must be text"), ("[other]\n", "not known"),
        ("answers = 3\n", "must be a table"),
    ],
)  # fmt: skip
def test_broken_answer_files_are_read_errors(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "answers.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ReadError, match=words):
        Answers.load(path)


LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (300 * 2**20, 300 * 2**20))
from bagwright.errors import ReadError
from bagwright.shots.read import read_shots
for path in sys.argv[1:]:
    try:
        result = read_shots(path)
        print("rows", result.rows_read)
    except ReadError as error:
        print("refused", error)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="RLIMIT_AS is only kept by Linux")
def test_hostile_files_stay_within_300_mb(tmp_path: Path) -> None:
    cases = {
        "bomb.xlsx": repacked({SHEET: b"<a>" + b"0" * 90_000_000}),
        "wide.csv": b"Carry (yd),a\n" + b"1," + b"x" * 9_000_000,
        "quotes.csv": b"Carry (yd),a\n" + b'"' * 2_000_001,
        "commas.csv": b"Carry (yd)" + b"," * 3_000_000,
        "lines.csv": b"\n" * 3_000_000 + b"Carry (yd)\n1\n",
        "noise.bin": os.urandom(2_000_000),
        "noise.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + os.urandom(200_000),
        "noise.xlsx": b"PK\x03\x04" + os.urandom(200_000),
        "rows.csv": b"Club,Carry (yd)\n" + b"7i,150.5\n" * 200_000,
        "bad.csv": b"Club,Carry (yd)\n" + b"7i,abc\n" * 100_000,
    }
    paths = []
    for name, data in cases.items():
        path = tmp_path / name
        path.write_bytes(data)
        paths.append(str(path))
    env = {**os.environ, "OPENBLAS_NUM_THREADS": "1"}
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, *paths],
        capture_output=True,
        text=True,
        env=env,
        check=False,
        timeout=60,
    )
    seconds = time.perf_counter() - start
    lines = done.stdout.splitlines()
    assert done.returncode == 0, done.stderr[-2000:]
    assert len(lines) == len(cases)
    assert lines[-2] == "rows 200000"
    assert lines[-1] == "rows 100000"
    assert sum(line.startswith("refused") for line in lines) >= 7
    assert seconds < 2.0 * len(cases)


def test_a_table_of_nothing_but_bad_rows_is_accounted_for_in_time(tmp_path: Path) -> None:
    path = tmp_path / "bad.csv"
    path.write_text("Club,Carry (yd)\n" + "".join(f"7i,1{i} x\n" for i in range(50_000)), encoding="utf-8")
    start = time.process_time()
    result = read_shots(path)
    assert time.process_time() - start < 2.0
    assert len(result.rejected) == result.rows_read == 50_000
    assert result.rejected[-1].reason == '"x" is neither a unit nor a side'


def test_as_many_names_as_rows_are_read_in_time_that_grows_with_their_count(tmp_path: Path) -> None:
    path = tmp_path / "names.csv"
    rows = "".join(f"club {i:x}q,{100 + i % 50}\n" for i in range(16_000))
    path.write_text("Club,Carry (yd)\n" + rows, encoding="utf-8")
    start = time.process_time()
    result = read_shots(path)
    assert result.accepted == len(result.unknown_clubs) == 16_000
    assert time.process_time() - start < 2.0
