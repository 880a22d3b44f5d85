"""Any file to a course: a map in GeoJSON, OpenStreetMap XML or Overpass JSON, or a scorecard."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from bagwright.course import limits
from bagwright.course.asking import Asked
from bagwright.course.elements import MapFile
from bagwright.course.hole import Course
from bagwright.errors import InputError
from bagwright.shots.texts import display_name


def load_course(
    source: str | os.PathLike[str] | bytes,
    *,
    name: str = "",
    course: str | None = None,
) -> Course:
    """Read a course from a path, or from a file's bytes with its `name`.

    `course` names the one that is meant where a map holds several. Raises InputError for anything that is no
    course, naming the place, the value and the next step.
    """
    if isinstance(source, bytes):
        raw, file = source, display_name(name or "the file")
        check_size(len(raw), limits.FILE_BYTES, file)
    else:
        raw, file = read_bytes(source, limits.FILE_BYTES)
    asked = Asked()
    from bagwright.course.mapping import course_of_map

    return course_of_map(read_map(raw, file), asked, course)


def check_size(size: int, most: int, file: str) -> None:
    """Raise InputError for a file above the limit, or an empty one."""
    if size > most:
        raise InputError(
            f"{file} has {size / 2**20:.0f} MiB, more than {most / 2**20:.0f} MiB.",
            "Cut it to the one golf course.",
        )
    if size == 0:
        raise InputError(f"{file} is empty.", "Give a map or a scorecard.")


def read_bytes(path: str | os.PathLike[str], most: int) -> tuple[bytes, str]:
    """Read an ordinary file of bounded size; give its bytes and the name to show."""
    file = display_name(os.fsdecode(path))
    try:
        with Path(path).open("rb") as stream:
            facts = os.fstat(stream.fileno())
            if not stat.S_ISREG(facts.st_mode):
                raise InputError(f"{file} is no ordinary file.", "Give the map or the scorecard itself.")
            check_size(facts.st_size, most, file)
            raw = stream.read(most + 1)
    except FileNotFoundError as error:
        raise InputError(f"{file} is not there.", "Check the name and the folder.") from error
    except IsADirectoryError as error:
        raise InputError(f"{file} is a folder.", "Give the map or the scorecard itself.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name cannot be used"
        raise InputError(
            f"{file} cannot be opened ({reason}).", "Check the name and the permissions."
        ) from error
    check_size(len(raw), most, file)
    return raw, file


def read_map(raw: bytes, file: str) -> MapFile:
    """Read a map's elements; the kind is known by the content, never by the name."""
    from bagwright.course.geojson import read_geojson
    from bagwright.course.jsonfile import parse_json
    from bagwright.course.osm_json import read_overpass
    from bagwright.course.osm_xml import read_osm_xml

    if raw.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        return read_osm_xml(raw, file)
    document = parse_json(raw, file)
    if "elements" in document:
        return read_overpass(document, file)
    return read_geojson(document, file)
