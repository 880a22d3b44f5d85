"""Text tables: bytes to characters, and characters to rows of cells."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence

from bagwright.errors import ReadError
from bagwright.shots.limits import Limits
from bagwright.shots.rows import heading_score, headings_in
from bagwright.words import tell

DELIMITERS = (",", ";", "\t", "|")
DELIMITER_NAMES = {",": "comma", ";": "semicolon", "\t": "tab", "|": "pipe"}
_SAMPLE = 65_536
_BOMS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe\x00\x00", "utf-32"), (b"\x00\x00\xfe\xff", "utf-32"),
         (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))  # fmt: skip
_CONTROL = re.compile(r"[\x00-\x08\x0e-\x1f\x7f]")
_NO_CONTROL = bytes(code for code in range(256) if not _CONTROL.match(chr(code)))
_SEP_LINE = re.compile(r"\Asep=([,;\t|])\n", re.IGNORECASE)


def decode(raw: bytes, file: str) -> tuple[str, str]:
    """Return the text of a file and the name of its encoding.

    UTF-8, UTF-16 and UTF-32 by their marks, UTF-16 by its zeros, UTF-8 where it fits, else cp1252.

    Raises ReadError for bytes that are no text.
    """
    for encoding in _encodings(raw):
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        # In UTF-8 and cp1252 a control character is one byte, and looking at bytes is quicker.
        narrow = encoding in ("utf-8", "utf-8-sig", "cp1252")
        control = None if narrow and not raw.translate(None, _NO_CONTROL) else _CONTROL.search(text)
        if control is not None:
            line = text.count("\n", 0, control.start()) + 1
            raise ReadError(
                tell(
                    "{file}, line {line}: holds a character that no text has (code {code}).",
                    file=file,
                    line=line,
                    code=ord(control[0]),
                ),
                tell("Save the table as CSV (UTF-8) or XLSX."),
            )
        # Rows may end in CR LF, in CR or in LF.
        if "\r" in text:
            text = text.replace("\r\n", "\n").replace("\r", "\n")
        return text, encoding.removesuffix("-sig")
    raise ReadError(
        tell("{file} is not text in UTF-8, UTF-16 or Windows-1252.", file=file),
        tell("Save the table as CSV (UTF-8) or XLSX."),
    )


def _encodings(raw: bytes) -> tuple[str, ...]:
    for mark, encoding in _BOMS:
        if raw.startswith(mark):
            return (encoding,)
    head = raw[:4096]
    even, odd = head[0::2], head[1::2]
    if head and len(raw) % 2 == 0:
        # Without a mark, text in the Latin script has a zero in every other byte of UTF-16.
        if odd.count(0) * 2 > len(odd) and even.count(0) * 10 < len(even):
            return ("utf-16-le",)
        if even.count(0) * 2 > len(even) and odd.count(0) * 10 < len(odd):
            return ("utf-16-be",)
    return ("utf-8", "cp1252")


def sniff_delimiter(text: str, columns: dict[str, str]) -> tuple[str, str]:
    """Return the delimiter under which a row near the top holds the most known headings, and the text.

    A first line "sep=;" settles it and is taken off.
    """
    told = _SEP_LINE.match(text)
    if told is not None:
        return told[1], "\n" + text[told.end() :]
    sample = text[:_SAMPLE]
    scores = {mark: _score(sample, mark, columns) for mark in DELIMITERS}
    return max(DELIMITERS, key=lambda mark: (scores[mark], sample.count(mark))), text


def _score(sample: str, mark: str, columns: dict[str, str]) -> int:
    top, since = 0, 0
    # A headings row with line breaks in quotation marks is cut here, which still tells the delimiters apart.
    for line in sample.split("\n", 80)[:80]:
        since += 1
        if top >= 3 and since > 3:
            break
        if mark not in line and top:
            continue
        cells = next(csv.reader([line[:20_000]], delimiter=mark), [])
        score = heading_score(headings_in(cells[:512], columns), cells) if len(cells) <= 2_000 else 0
        if score > top:
            top, since = score, 0
    return top


def check_width(rows: Sequence[Sequence[str]], first: int, file: str, limits: Limits) -> None:
    """Raise ReadError when a row has more cells than the limit."""
    if max(map(len, rows), default=0) > limits.columns:
        row = next(i for i, cells in enumerate(rows) if len(cells) > limits.columns)
        raise ReadError(
            tell(
                "{file}, row {row}: has {cells} cells, more than {most}.",
                file=file,
                row=first + row,
                cells=len(rows[row]),
                most=limits.columns,
            ),
            tell("Split the table, or raise the limit of columns."),
        )
