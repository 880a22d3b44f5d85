"""A bag from a table that was pasted or uploaded: headings in plain words, one club a line.

Every line is accounted for: it becomes a club, or is left out with the reason; a cell that cannot be used is
named with its line, heading and value, and the club is taken over without it.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection
from dataclasses import dataclass, fields, replace
from typing import Any

from django.utils.translation import gettext as _

from bagwright.bag.club import Bag, Build, Club
from bagwright.bag.fields import BUILD_KEYS, CLUB_KEYS, Key, problem_with, value_of
from bagwright.bag.file import dump_bag, parse_bag
from bagwright.bag.names import clean_text, parse_club_name
from bagwright.errors import InputError, ReadError
from bagwright.shots.limits import Limits
from bagwright.shots.sheets import check_workbook, kind_of, sheets_of
from bagwright.shots.textfile import decode
from bagwright.shots.texts import clean, shown, unescaped
from bagwright.units import System, parse_quantity

MOST_LINES = 200
MOST_COLUMNS = 60
MOST_CHARACTERS = 200_000
MOST_PROBLEMS = 400
LIMITS = Limits(
    file_bytes=4 * 2**20,
    rows=5_000,
    columns=MOST_COLUMNS,
    sheets=16,
    cells=100_000,
    unpacked_bytes=24 * 2**20,
)
"""A bag is a small table: whatever is larger is something else."""
_WORDS = {
    **dict.fromkeys(("club", "name", "schläger", "bezeichnung", "schlägername"), "name"),
    **dict.fromkeys(("kind", "type", "art", "typ", "schlägerart"), "kind"),
    **dict.fromkeys(("status", "state", "zustand"), "status"),
    **dict.fromkeys(("number", "no", "nummer", "nr"), "number"),
    **dict.fromkeys(
        ("loft", "measured loft", "loft measured", "loft gemessen", "gemessener loft"), "loft_deg"
    ),
    **dict.fromkeys(
        ("stamped loft", "loft stamped", "loft laut stempel", "nennloft", "gestempelter loft"),
        "stamped_loft_deg",
    ),
    **dict.fromkeys(
        ("lie", "lie angle", "liewinkel", "lie-winkel", "lie measured", "lie gemessen"), "lie_angle_deg"
    ),
    **dict.fromkeys(("length", "länge", "schlägerlänge", "club length"), "length"),
    **dict.fromkeys(("shaft", "schaft"), "shaft"),
    **dict.fromkeys(("shaft weight", "schaftgewicht"), "shaft_weight_g"),
    **dict.fromkeys(("flex", "shaft flex", "schaftflex", "härte"), "shaft_flex"),
    **dict.fromkeys(("swing weight", "swingweight", "schwunggewicht"), "swing_weight"),
    **dict.fromkeys(("grip", "griff"), "grip"),
    **dict.fromkeys(("head", "kopf", "schlägerkopf", "model", "modell"), "head"),
    **dict.fromkeys(
        ("setting", "hosel", "hosel setting", "einstellung", "hosel-einstellung"), "hosel_setting"
    ),
    "bounce": "bounce_deg",
    **dict.fromkeys(("sole", "sohle", "grind"), "sole"),
    **dict.fromkeys(("construction", "bauart", "konstruktion"), "construction"),
    **dict.fromkeys(("groove age", "age of grooves", "alter der rillen", "rillenalter"), "groove_age_months"),
    **dict.fromkeys(("grip age", "age of grip", "alter des griffs", "griffalter"), "grip_age_months"),
    **dict.fromkeys(("head volume", "volume", "volumen", "kopfvolumen"), "head_volume_cm3"),
    **dict.fromkeys(("price", "preis"), "price"),
    **dict.fromkeys(("waiting time", "lead time", "lieferzeit"), "lead_time_days"),
    **dict.fromkeys(("note", "notes", "remark", "notiz", "bemerkung", "anmerkung"), "note"),
    **dict.fromkeys(("also", "other spellings", "andere schreibweisen"), "also"),
    **dict.fromkeys(("use", "einsatz"), "use"),
}
_LENGTH_UNITS = {"in": "in", "inch": "in", "inches": "in", "zoll": "in", '"': "in", "cm": "cm", "m": "m"}
_OTHER_UNITS = frozenset({"deg", "degrees", "grad", "g", "gram", "gramm", "months", "monate", "days", "tage",
                          "cm3", "cm³", "cc", "ccm"})  # fmt: skip
_KINDS = {"holz": "wood", "fairwayholz": "wood", "fairway": "wood", "eisen": "iron", "hybride": "hybrid"}
_STATUSES = {"getragen": "carried", "im bag": "carried", "kandidat": "candidate", "reserve": "spare",
             "ersatz": "spare", "früher": "former", "ehemalig": "former"}  # fmt: skip
_KEYS = {key.name: key for key in (*CLUB_KEYS, *BUILD_KEYS)}
_OF_BUILD = frozenset(field.name for field in fields(Build))
_NUMBER = re.compile(r"([+\-−]?[0-9]{1,6}(?:[.,][0-9]{1,6})?)\s*(?:°|º|deg|g|cm3|cm³|%)?")


def usual_set(system: System = "yards") -> str:
    """The names of a usual set as a table to fill in: no figure of it is made up."""
    names = _(
        "Driver;3 wood;5 wood;4 hybrid;5 iron;6 iron;7 iron;8 iron;9 iron;"
        "Pitching wedge;Gap wedge;Sand wedge;Lob wedge;Putter"
    ).split(";")
    unit = "in" if system == "yards" else "cm"
    headings = _("Club;Stamped loft;Loft;Lie angle;Length %(unit)s;Shaft;Flex") % {"unit": unit}
    return "\n".join([headings, *(f"{name};;;;;;" for name in names)])


@dataclass(frozen=True, slots=True)
class Problem:
    """What of the table was not taken over: line, heading, value, why. `lost` is true for a whole line."""

    line: int
    heading: str
    value: str
    reason: str
    lost: bool = False


@dataclass(frozen=True, slots=True)
class ClubTable:
    """What a table says: its clubs, and everything in it that is not taken over."""

    bag: Bag
    problems: tuple[Problem, ...]
    lines: int
    """Lines below the headings that hold anything."""

    @property
    def lost(self) -> tuple[Problem, ...]:
        """Lines that became no club, each with its reason."""
        return tuple(one for one in self.problems if one.lost)

    @property
    def unused(self) -> tuple[Problem, ...]:
        """Cells and columns that could not be used, of lines that were taken over all the same."""
        return tuple(one for one in self.problems if not one.lost)

    @property
    def left_out(self) -> int:
        """Lines that became no club."""
        return self.lines - len(self.bag.clubs)


def text_of_file(raw: bytes, name: str) -> str:
    """The text of an uploaded file: a workbook's first table as tabs and lines, a text file as it is.

    Raises ReadError for whatever is no table, damaged, or larger than a bag can be.
    """
    file = clean(name, 60) or "file"
    if len(raw) > LIMITS.file_bytes:
        raise ReadError(
            _("%(file)s has more than %(most)s MiB.") % {"file": file, "most": LIMITS.file_bytes // 2**20},
            _("A bag is a small table: save the sheet with the clubs alone."),
        )
    if not raw.strip():
        raise ReadError(_("%(file)s is empty.") % {"file": file}, _("Choose the file with the clubs."))
    if kind_of(raw) == "text":
        return decode(raw, file)[0]
    check_workbook(raw, file, LIMITS)
    for _sheet, rows in sheets_of(raw, file, LIMITS):
        if any(any(cell.strip() for cell in row) for row in rows):
            return "\n".join("\t".join(" ".join(cell.split()) for cell in row) for row in rows)
    raise ReadError(
        _("%(file)s has no visible sheet with anything on it.") % {"file": file}, _("Check the file.")
    )


def read_text(text: str, there: Collection[str] = ()) -> ClubTable:
    """The clubs of a pasted table or of a bag file; names in `there` are in the bag already and left out.

    Raises ReadError for a text that is neither, or too long.
    """
    if len(text) > MOST_CHARACTERS:
        raise ReadError(
            _("The text has %(n)s characters.") % {"n": len(text)},
            _("A bag has at most %(most)s: paste the table of the clubs alone.") % {"most": MOST_CHARACTERS},
        )
    if re.search(r"^\s*\[\[\s*club\s*\]\]", text, re.MULTILINE):
        return _of_bag_file(text, there)
    return read_clubs(text, there)


def _of_bag_file(text: str, there: Collection[str]) -> ClubTable:
    bag = parse_bag(text)
    names = {clean_text(name) for name in there}
    kept = tuple(club for club in bag if clean_text(club.name) not in names)
    twins = [club.name for club in bag if clean_text(club.name) in names]
    problems = [
        Problem(0, "name", shown(name), _("in this bag already; left out"), lost=True) for name in twins
    ]
    return ClubTable(Bag(clubs=kept), tuple(problems), len(bag.clubs))


def read_clubs(text: str, there: Collection[str] = ()) -> ClubTable:
    """The clubs of a pasted table and everything that could not be taken over.

    Raises ReadError for a text without a heading for the club's name, or far too many lines.
    """
    rows = _rows(text)
    if len(rows) - 1 > MOST_LINES:
        raise ReadError(
            _("The table has %(n)s lines.") % {"n": len(rows) - 1},
            _("At most %(most)s clubs can be taken over at once.") % {"most": MOST_LINES},
        )
    raw = rows[0][1] if rows else []
    headings = [_heading(cell) for cell in raw]
    if "name" not in headings:
        raise ReadError(
            _("No heading says which column names the club."),
            _('The first line needs headings, one of them "Club": Club; Loft; Length in.'),
        )
    reading = _Reading(raw, headings, {clean_text(name) for name in there})
    for line, row in rows[1:]:
        reading.take(line, row)
    return ClubTable(Bag(clubs=tuple(reading.clubs)), tuple(reading.problems), len(rows) - 1)


def _rows(text: str) -> list[tuple[int, list[str]]]:
    """The lines that hold anything, with their numbers in the text; the first is that of the headings."""
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").replace("\0", "")
    first = next((line for line in plain.split("\n") if line.strip()), "")
    mark = max("\t;,|", key=first.count)
    reader = csv.reader(io.StringIO(plain), delimiter=mark)
    rows: list[tuple[int, list[str]]] = []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((reader.line_num, row))
            if len(row) > MOST_COLUMNS:
                raise ReadError(
                    _("Line %(line)s has %(n)s columns.") % {"line": reader.line_num, "n": len(row)},
                    _("At most %(most)s are read.") % {"most": MOST_COLUMNS},
                )
    except csv.Error as error:
        raise ReadError(
            _("Line %(line)s is no line of a table: %(why)s.") % {"line": reader.line_num, "why": error},
            _("Copy the cells from the spreadsheet again."),
        ) from error
    return rows


def _heading(cell: str) -> str:
    """The key of a heading, with the unit of a length in brackets or behind it; "" where it says nothing."""
    plain = " ".join(re.sub(r"[()\[\]°º:,/]", " ", cell.lower()).split())
    if plain in _KEYS:
        return plain
    words = plain.split()
    unit = words[-1] if len(words) > 1 else ""
    stem = " ".join(words[:-1]) if unit in _LENGTH_UNITS or unit in _OTHER_UNITS else plain
    name = _WORDS.get(stem, "")
    if name == "length" and unit in _LENGTH_UNITS:
        return f"length_{_LENGTH_UNITS[unit]}"
    return name


class _Reading:
    """The table while it is read: clubs so far, and what was not taken over."""

    def __init__(self, raw: list[str], headings: list[str], there: set[str]) -> None:
        self.raw, self.headings = raw, headings
        self.there = there
        self.clubs: list[Club] = []
        self.problems: list[Problem] = []
        seen: set[str] = set()
        for place, (cell, name) in enumerate(zip(raw, headings, strict=True)):
            if not name and cell.strip():
                self._say(1, cell, "", _("no heading that is known; the column is left out"))
            elif name and name in seen:
                self._say(1, cell, "", _("the heading is there twice; the second column is left out"))
                self.headings[place] = ""
            seen.add(name)

    def _say(self, line: int, heading: str, value: str, reason: str, *, lost: bool = False) -> None:
        if len(self.problems) < MOST_PROBLEMS or lost:
            self.problems.append(Problem(line, shown(heading), shown(value), reason, lost))

    def take(self, line: int, row: list[str]) -> None:
        """Read one line."""
        values: dict[str, Any] = {}
        for cell in row[len(self.headings) :]:
            if cell.strip():
                self._say(line, "", cell, _("stands under no heading"))
        for cell, heading, name in zip(row, self.raw, self.headings, strict=False):
            text = unescaped(cell.strip())
            if not text or not name:
                continue
            field, value, problem = _value(name, text)
            if problem:
                self._say(line, heading, text, problem)
            elif field in values:
                self._say(line, heading, text, _("said twice in this line; the first one counts"))
            else:
                values[field] = value
        club = self._club(line, values)
        if club is not None:
            self.clubs.append(club)

    def _club(self, line: int, values: dict[str, Any]) -> Club | None:
        heading = self.raw[self.headings.index("name")]
        name = values.get("name", "")
        why = ""
        if not name:
            why = _("the line names no club; it is left out")
        elif clean_text(name) in self.there:
            why = _("in this bag already; the line is left out")
        elif any(clean_text(other.name) == clean_text(name) for other in self.clubs):
            why = _("named twice in this table; the line is left out")
        elif not values.get("kind") and parse_club_name(name) is None:
            why = _("the name alone does not say what it is: add a column Kind; the line is left out")
        if why:
            self._say(line, heading, name, why, lost=True)
            return None
        club = _made(values)
        try:
            dump_bag(Bag(clubs=(club,)))
        except InputError as error:
            told = error.message.rpartition("bag.toml: ")[2]
            self._say(line, heading, name, told + " " + _("The line is left out."), lost=True)
            return None
        return club


def _made(values: dict[str, Any]) -> Club:
    """A club of its values, with kind, number and stamped loft from a usual name where they were left out."""
    said = parse_club_name(values["name"])
    if said is not None:
        values.setdefault("kind", said.kind)
        values.setdefault("number", said.number)
        values.setdefault("stamped_loft_deg", said.loft_deg)
    build = Build(**{name: value for name, value in values.items() if name in _OF_BUILD})
    club = Club(values["name"], values["kind"])
    return replace(
        club, build=build, **{name: value for name, value in values.items() if name not in _OF_BUILD}
    )


def _value(name: str, text: str) -> tuple[str, Any, str]:
    """Field, value and problem of one cell."""
    if name.startswith("length"):
        return _length(name, text)
    key = _KEYS[name]
    if key.shape == "number":
        return _figure(key, text)
    typed: Any = text
    if key.shape == "texts":
        typed = [part.strip() for part in re.split(r"[,;/]", text) if part.strip()]
    elif name == "kind":
        typed = _KINDS.get(text.lower(), text)
    elif name == "status":
        typed = _STATUSES.get(text.lower(), text)
    problem = problem_with(key, typed)
    return key.field, None if problem else value_of(key, typed), problem


def _figure(key: Key, text: str) -> tuple[str, Any, str]:
    match = _NUMBER.fullmatch(text)
    if match is None:
        return key.field, None, _("not a number")
    typed = float(match[1].replace("−", "-").replace(",", "."))
    problem = problem_with(key, typed)
    return key.field, None if problem else value_of(key, typed), problem


def _length(name: str, text: str) -> tuple[str, Any, str]:
    """A length in the unit of its cell, else of its heading; without either it is not guessed."""
    unit = name.removeprefix("length").removeprefix("_") or None
    try:
        metres = parse_quantity(text, "length", unit)
    except InputError as error:
        return "length_m", None, str(error)
    problem = problem_with(_KEYS["length_m"], metres)
    return "length_m", None if problem else metres, problem
