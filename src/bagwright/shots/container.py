"""Workbooks are zip containers: what is looked at before anything is unpacked by another library."""

from __future__ import annotations

import io
import re
import stat
import zipfile
import zlib
from collections.abc import Callable
from xml.parsers.expat import ExpatError

from defusedxml import expatreader
from defusedxml.common import DefusedXmlException

from bagwright.errors import ReadError
from bagwright.shots.limits import Limits
from bagwright.words import tell

_MIB = 2**20
_XML_ENDS = (".xml", ".rels", ".vml")
_NESTED_ENDS = (".zip", ".xlsx", ".xlsm", ".ods", ".gz", ".7z", ".rar", ".jar")
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
SAVE_AGAIN = tell("Save the table again as XLSX or CSV with a spreadsheet program.")
"""The next step where a workbook cannot be read."""


def open_container(raw: bytes, file: str, limits: Limits) -> zipfile.ZipFile:
    """Return the container of a workbook, its list of contents checked: count, sizes, ratio, links, nesting.

    Raises ReadError; nothing has been unpacked by then.
    """
    try:
        container = zipfile.ZipFile(io.BytesIO(raw))
        members = container.infolist()
    except (zipfile.BadZipFile, ValueError, OSError, EOFError, NotImplementedError, UnicodeError) as error:
        raise ReadError(
            tell("{file} is a damaged workbook ({name}).", file=file, name=type(error).__name__), SAVE_AGAIN
        ) from error
    if len(members) > limits.members:
        raise ReadError(
            tell(
                "{file} holds {members} parts, more than {most}.",
                file=file,
                members=len(members),
                most=limits.members,
            ),
            SAVE_AGAIN,
        )
    unpacked = sum(member.file_size for member in members)
    if unpacked > limits.unpacked_bytes:
        raise ReadError(
            tell(
                "{file} would unpack to {unpacked} MiB, more than {unpacked_bytes} MiB.",
                file=file,
                unpacked=unpacked // _MIB,
                unpacked_bytes=limits.unpacked_bytes // _MIB,
            ),
            SAVE_AGAIN,
        )
    names = set()
    for member in members:
        _check_member(member, file, limits)
        if member.filename in names:
            raise ReadError(tell("{file} holds two parts of one name.", file=file), SAVE_AGAIN)
        names.add(member.filename)
    return container


def _check_member(member: zipfile.ZipInfo, file: str, limits: Limits) -> None:
    name = member.filename
    if member.file_size > _MIB and member.file_size > limits.ratio * max(member.compress_size, 1):
        raise ReadError(
            tell(
                "{file} is packed more than {ratio} times, as only an attack is.",
                file=file,
                ratio=limits.ratio,
            ),
            SAVE_AGAIN,
        )
    if member.flag_bits & 0x1:
        raise ReadError(tell("{file} is locked with a password.", file=file), tell("Save it without one."))
    if stat.S_ISLNK(member.external_attr >> 16):
        raise ReadError(tell("{file} holds a link to another file.", file=file), SAVE_AGAIN)
    if name.startswith(("/", "\\")) or ".." in re.split(r"[\\/]", name) or ":" in name.split("/")[0]:
        raise ReadError(tell("{file} holds a part that points outside the file.", file=file), SAVE_AGAIN)
    if name.casefold().endswith(_NESTED_ENDS):
        raise ReadError(tell("{file} holds another container.", file=file), SAVE_AGAIN)
    if member.compress_type not in _METHODS:
        raise ReadError(tell("{file} is packed in a way that workbooks are not.", file=file), SAVE_AGAIN)


def part(container: zipfile.ZipFile, name: str, file: str, limits: Limits) -> bytes:
    """One part unpacked. Raises ReadError when it is damaged or larger than its container says."""
    member = container.getinfo(name)
    try:
        with container.open(member) as stream:
            data = stream.read(member.file_size + 1)
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        OSError,
        NotImplementedError,
        RuntimeError,
        ValueError,
    ) as error:
        raise ReadError(
            tell("{file} is a damaged workbook ({name}).", file=file, name=type(error).__name__), SAVE_AGAIN
        ) from error
    if len(data) > member.file_size or len(data) > limits.unpacked_bytes:
        raise ReadError(tell("{file} holds a part larger than it says.", file=file), SAVE_AGAIN)
    return data


def xml_parts(container: zipfile.ZipFile) -> list[str]:
    """Return the names of all parts that are XML."""
    return [m.filename for m in container.infolist() if m.filename.casefold().endswith(_XML_ENDS)]


def refuse_entities(data: bytes, file: str) -> None:
    """Raise ReadError for XML that declares a document type, or is not written in UTF-8.

    A document type is where entities live (also those that fetch files); workbooks never need one. Checked on
    the bytes, so that a part in another encoding cannot hide one.
    """
    head = data[:4].lstrip(b"\xef\xbb\xbf")
    if head[:1] not in (b"<", b"", b" ", b"\r", b"\n", b"\t") or b"\x00" in data[:200]:
        raise ReadError(tell("{file} holds a part that is no plain XML.", file=file), SAVE_AGAIN)
    declaration = re.match(
        rb"\s*<\?xml[^>]{0,200}?encoding\s*=\s*[\"']([^\"']{1,40})", data.lstrip(b"\xef\xbb\xbf")[:300]
    )
    if declaration is not None and declaration[1].lower() not in (b"utf-8", b"utf8", b"us-ascii", b"ascii"):
        raise ReadError(
            tell("{file} holds XML in an encoding that workbooks do not use.", file=file), SAVE_AGAIN
        )
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data or b"<!doctype" in data:
        raise ReadError(
            tell("{file} declares XML entities, which a shot table never needs.", file=file), SAVE_AGAIN
        )


def parse_xml(
    data: bytes, start: Callable[[str, dict[str, str]], None], end: Callable[[str], None], file: str
) -> None:
    """Run through XML with two handlers, without document types, entities or anything from outside.

    Raises ReadError for XML that is damaged or forbidden; an error raised by a handler passes through.
    """
    from xml.sax import SAXException
    from xml.sax.handler import ContentHandler

    class Handler(ContentHandler):
        def startElement(self, name: str, attrs: object) -> None:  # noqa: N802
            start(name, dict(attrs.items()))  # type: ignore[attr-defined]

        def endElement(self, name: str) -> None:  # noqa: N802
            end(name)

    parser = expatreader.create_parser(forbid_dtd=True)
    parser.setContentHandler(Handler())
    try:
        parser.parse(io.BytesIO(data))
    except DefusedXmlException as error:
        raise ReadError(
            tell("{file} declares XML entities, which a shot table never needs.", file=file), SAVE_AGAIN
        ) from error
    except (SAXException, ExpatError, ValueError) as error:
        raise ReadError(tell("{file} is a damaged workbook.", file=file), SAVE_AGAIN) from error
