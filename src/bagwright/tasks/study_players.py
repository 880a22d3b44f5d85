"""The players of a study: a folder of player files, or a table of figures, read one after the other.

A folder holds a `bag.toml` for every player, at any depth, with the shot tables that it lists. A table has a row
for every player: `handicap`, `sex`, `hand`, `driver_speed_mph` (or `_kmh`, `_mps`, or `driver_speed` with its
unit in the cell), and `player`, a name of the user's own.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bagwright.bag.club import Bag, Club, Player
from bagwright.errors import BagwrightError, InputError, MachineError
from bagwright.units import parse_quantity
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.shots.record import ShotTable

BAG = "bag.toml"
MOST_TABLE_BYTES = 50_000_000
"""A shot table of one player; the reader has its own, closer limits."""
SPEEDS = {"driver_speed_mph": "mph", "driver_speed_kmh": "kmh", "driver_speed_mps": "mps", "driver_speed": ""}
COLUMNS = ("player", "handicap", "sex", "hand", *SPEEDS)


@dataclass(frozen=True, slots=True)
class PlayerInput:
    """One player: `key` names the input, `name` the person, `where` says where it is, `load` reads it."""

    key: str
    name: str
    where: str
    load: Callable[[], Mapping[str, Any]]


@dataclass(frozen=True, slots=True)
class Players:
    """All players of a study; `each()` can be called again and gives the same players in the same order."""

    count: int
    each: Callable[[], Iterator[PlayerInput]]
    figures: bool
    """Whether they are made of figures, not of shots."""


def players_of(place: Path) -> Players:
    """The players of a folder, or of a table. Raises InputError where there are none, and MachineError."""
    return _folder(place) if place.is_dir() else _table(place)


def _folder(folder: Path) -> Players:
    files = sorted(folder.rglob(BAG), key=lambda path: path.relative_to(folder).as_posix())
    if not files:
        raise InputError(
            tell("There is no {name} in {folder}.", name=BAG, folder=folder),
            tell("Every player has a folder with such a file: `bagwright new` makes one."),
        )

    def each() -> Iterator[PlayerInput]:
        for path in files:
            name = path.relative_to(folder).as_posix()
            yield PlayerInput(name, name, str(path), partial(files_of, path))

    return Players(len(files), each, figures=False)


def files_of(bag: Path) -> dict[str, Any]:
    """A player's files, as they are: text of the bag, name and bytes of every shot table.

    A table that cannot be read has None for its bytes: the player's task says what is wrong.
    """
    from bagwright.bag.file import parse_bag

    raw = _bytes(bag)
    text = "" if raw is None else raw.decode("utf-8", errors="replace")
    try:
        listed = parse_bag(text).shot_files
    except BagwrightError:
        listed = ()
    tables = [[Path(name).suffix.lower(), _bytes(bag.parent / name)] for name in dict.fromkeys(listed)]
    return {"bag": text, "shots": tables}


def _bytes(path: Path) -> bytes | None:
    try:
        with path.open("rb") as file:
            content = file.read(MOST_TABLE_BYTES + 1)
    except (FileNotFoundError, IsADirectoryError, NotADirectoryError, ValueError):
        return None
    except OSError as error:
        raise MachineError(
            tell("{path} cannot be read: {strerror}.", path=path, strerror=error.strerror),
            tell("Check the permissions."),
        ) from error
    return content if len(content) <= MOST_TABLE_BYTES else None


def _table(path: Path) -> Players:
    names, delimiter, count = _looked_over(path)

    def each() -> Iterator[PlayerInput]:
        with _opened(path) as file:
            rows = csv.reader(file, delimiter=delimiter)
            next(rows)
            for row in rows:
                if not any(cell.strip() for cell in row):
                    continue
                given = _named(names, row, rows.line_num, path)
                key = given.get("player") or f"row {rows.line_num}"
                where = f"{path.name}, row {rows.line_num}"
                yield PlayerInput(key, given.get("player", ""), where, partial(dict, figures=given))

    return Players(count, each, figures=True)


def _looked_over(path: Path) -> tuple[list[str], str, int]:
    """Headings, delimiter and number of players. Raises InputError for headings that are not known."""
    try:
        with _opened(path) as file:
            head = file.readline(10_000)
            delimiter = max(";,\t", key=head.count)
            names = [
                cell.strip().lower().replace(" ", "_")
                for cell in next(csv.reader([head], delimiter=delimiter), [])
            ]
            _check_headings(names, path)
            seen: set[str] = set()
            count = 0
            rows = csv.reader(file, delimiter=delimiter)
            own = names.index("player") if "player" in names else None
            for row in rows:
                if not any(cell.strip() for cell in row):
                    continue
                count += 1
                name = row[own].strip() if own is not None and own < len(row) else ""
                if name and name in seen:
                    raise InputError(
                        tell('{file}: two players are called "{name}".', file=path.name, name=name[:40]),
                        tell("Give every player a name of its own, or leave the column out."),
                    )
                seen.add(name)
    except (UnicodeDecodeError, csv.Error) as error:
        raise InputError(
            tell("{file} is no table of players ({error}).", file=path.name[:80], error=str(error)[:80]),
            tell("Save it as CSV in UTF-8."),
        ) from error
    return names, delimiter, count


def _check_headings(names: list[str], path: Path) -> None:
    strange = [name for name in names if name not in COLUMNS]
    if strange or "handicap" not in names or len(set(names)) < len(names):
        what = strange[0][:40] if strange else tell("handicap is missing, or a heading stands twice")
        raise InputError(
            tell(
                "{file}: the headings of a table of players are not these: {what}.",
                file=path.name[:80],
                what=what,
            ),
            tell("Known: {columns}; handicap is needed.", columns=", ".join(COLUMNS)),
        )
    if sum(name in SPEEDS for name in names) > 1:
        raise InputError(
            tell("{file}: driver speed stands in two columns.", file=path.name[:80]),
            tell("Keep one of them."),
        )


def _named(names: list[str], row: list[str], line: int, path: Path) -> dict[str, str]:
    if len(row) > len(names) and any(cell.strip() for cell in row[len(names) :]):
        raise InputError(
            tell("{file}, row {line} has more cells than headings.", file=path.name[:80], line=line),
            tell("Correct that row."),
        )
    return {name: cell.strip()[:100] for name, cell in zip(names, row, strict=False) if cell.strip()}


def _opened(path: Path) -> io.TextIOWrapper:
    try:
        return path.open(encoding="utf-8-sig", newline="")
    except FileNotFoundError as error:
        raise InputError(
            tell("{path} is not there.", path=path), tell("Name a folder of players, or a table.")
        ) from error
    except (OSError, ValueError) as error:
        raise MachineError(
            tell("{path} cannot be read: {strerror}.", path=path, strerror=str(error)),
            tell("Check the permissions."),
        ) from error


_OF_A_PERSON = ("hand", "sex", "age", "handicap", "driver_speed_mps", "pain", "turf", "sand", "club_limit")
"""What of a player strokes may depend on."""


def plain_player(bag: Bag, table: ShotTable) -> dict[str, Any]:
    """A bag and its shots as plain data, to be sent to a worker; of the person only what strokes depend on."""
    person = {name: getattr(bag.player, name) for name in _OF_A_PERSON}
    shots = [asdict(table.shot(i)) for i in range(table.n)]
    return {"player": person, "clubs": [asdict(club) for club in bag.clubs], "shots": shots}


def whole_of_plain(data: Mapping[str, Any]) -> tuple[Bag, ShotTable]:
    """The bag and the shots again, as `plain_player` took them apart."""
    from bagwright.bag.club import Build
    from bagwright.shots.record import Mark, Shot, ShotTable

    clubs = tuple(Club(**{**one, "build": Build(**one["build"])}) for one in data["clubs"])
    marks = (None if one["mark"] is None else Mark(**one["mark"]) for one in data["shots"])
    shots = [Shot(**{**one, "mark": mark}) for one, mark in zip(data["shots"], marks, strict=True)]
    return Bag(Player(**data["player"]), clubs), ShotTable.of(shots)


def player_of_figures(figures: Mapping[str, str]) -> Player:
    """The player of a row. Raises InputError for a cell that cannot be; missing stays missing."""
    return Player(
        hand=_word(figures, "hand", ("right", "left")) or "right",  # type: ignore[arg-type]
        sex=_word(figures, "sex", ("female", "male")),  # type: ignore[arg-type]
        handicap=_handicap(figures.get("handicap")),
        driver_speed_mps=_speed(figures),
    )


def _word(figures: Mapping[str, str], name: str, known: tuple[str, ...]) -> str | None:
    """A word, or its first letter."""
    text = figures.get(name, "").lower()
    found = [word for word in known if text and word.startswith(text)]
    if text and not found:
        raise _wrong(name, text, " / ".join(known))
    return found[0] if found else None


def _handicap(text: str | None) -> float | None:
    """A handicap index as the trade writes it: "+2.1" is better than scratch, here -2.1."""
    if not text:
        return None
    better = text.startswith("+")
    try:
        value = float(text.lstrip("+").replace(",", "."))
    except ValueError as error:
        raise _wrong("handicap", text, "-10 ... 54") from error
    if not -10.0 <= value <= 54.0 or (better and not 0.0 <= value <= 10.0):
        raise _wrong("handicap", text, "-10 ... 54")
    return -value if better else value


def _speed(figures: Mapping[str, str]) -> float | None:
    """Driver head speed in metres a second; the unit stands in the heading or in the cell."""
    for name, unit in SPEEDS.items():
        if text := figures.get(name):
            value = parse_quantity(text, "speed", unit or None)
            if not 15.0 <= value <= 70.0:
                raise _wrong(name, text, "35 ... 155 mph")
            return value
    return None


def _wrong(name: str, text: str, wanted: str) -> InputError:
    return InputError(
        tell('The {name} "{text}" cannot be.', name=name, text=text[:40]),
        tell("Expected {wanted}.", wanted=wanted),
    )
