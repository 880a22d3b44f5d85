"""The bag file: one player, every club known of them, and their shot tables, in TOML.

    shots = ["2026-11-visit.csv"]        # relative to this file; leave out when there are none

    [player]
    name = "..."                         # every key may be left out; missing is missing, never 0
    hand = "left"                        # or "right"
    driver_speed_mph = 92                # or _kmh or _mps: the unit is in the key
    handicap = 14

    [[club]]                             # one for each build; a changed setting is another club
    name = "7 iron"                      # unique; kind and number are taken from a usual name
    loft_deg = 32.5                      # as measured; stamped_loft_deg is what the head says
    length_in = 37.25                    # or _cm or _m
    status = "carried"                   # or "candidate", "spare", "former"
    also = ["seven"]                     # other spellings in the shot tables

    [[club.proposed]]                    # a change for the workshop, never without a reason
    field = "lie_angle_deg"
    value = "63"
    reason = "toe marks on the sole"

Every key is in `bagwright.bag.fields`, with unit and limits. What `dump_bag` writes reads back as the same
bag, to the last digit; comments are not kept.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import fields as dataclass_fields
from pathlib import Path
from typing import Any

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.bag.fields import (
    BUILD_KEYS,
    CLUB_KEYS,
    PLAYER_KEYS,
    PROPOSED_KEYS,
    Key,
    problem_with,
    text_problem,
    value_of,
)
from bagwright.bag.names import clean_text, parse_club_name, plain_number
from bagwright.errors import InputError, MachineError, ReadError
from bagwright.files import quoted
from bagwright.words import cut, join, tell

MAX_BYTES = 1_000_000
MAX_CLUBS = 500
_KINDS_THAT_MIX = ({"iron", "wedge"}, {"driver", "wood"}, {"hybrid", "wood"}, {"hybrid", "iron"})
"""Kinds that name and file may give differently: a set's pitching wedge as an iron, a utility as either."""


def load_bag(path: str | Path) -> Bag:
    """Read a bag file.

    Raises ReadError that names the file, the club, the key, the value and what to do; MachineError (exit
    code 3) where the file is there but the machine does not let us read it.
    """
    path = Path(path)
    return parse_bag(_read_text(path), str(path))


def parse_bag(text: str, source: str = "bag.toml") -> Bag:
    """Read a bag from the text of a bag file; `source` is the name that errors show."""
    try:
        document = tomllib.loads(text.removeprefix("\ufeff").replace("\r\n", "\n"))
    except (ValueError, RecursionError) as error:
        reason = str(error)[:200] or tell("nested too deeply")
        raise ReadError(
            tell("{source} is not a TOML file: {reason}.", source=source, reason=reason),
            tell("Put texts in quotes; `bagwright new` writes an example."),
        ) from error
    _reject_unknown(document, ("player", "club", "shots"), source, tell("at the top"))
    player = _player(document.get("player", {}), source)
    clubs = _clubs(document.get("club", []), source)
    return Bag(player, clubs, _shot_files(document.get("shots", []), source), source)


def _read_text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError as error:
        raise ReadError(tell("There is no bag file {path}.", path=path), tell("Check the path.")) from error
    except IsADirectoryError as error:
        raise ReadError(
            tell("{path} is a folder, not a bag file.", path=path), tell("Name the file in it.")
        ) from error
    except ValueError as error:
        raise ReadError(
            tell("{path!r} is not the name of a file.", path=str(path)[:80]), tell("Check the path.")
        ) from error
    except OSError as error:
        raise MachineError(
            tell("{path} cannot be read: {strerror}.", path=path, strerror=error.strerror),
            tell("Check the permissions."),
        ) from error
    if len(data) > MAX_BYTES:
        raise ReadError(
            tell("{path} is larger than {max_bytes:,} bytes.", path=path, max_bytes=MAX_BYTES),
            tell("A bag file is a short text."),
        )
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        raise ReadError(
            tell("{path} is not UTF-8 text (byte {start}).", path=path, start=error.start + 1),
            tell("Save it as UTF-8."),
        ) from error


def _reject_unknown(table: Mapping[str, object], known: Iterable[str], source: str, where: str) -> None:
    names = list(known)
    for key in table:
        if key not in names:
            near = difflib.get_close_matches(key[:60], names, n=1, cutoff=0.5)
            hint = (
                tell('The nearest known key is "{near}".', near=near[0])
                if near
                else tell("Known keys: {names}.", names=join(", ", names))
            )
            raise ReadError(
                tell(
                    '{source}: {where} there is an unknown key "{key}".',
                    source=source,
                    where=where,
                    key=key[:60],
                ),
                hint,
            )


def _values(table: object, keys: Iterable[Key], source: str, where: str) -> dict[str, Any]:
    """Check one table and turn its values into the program's fields. Two keys for one field are an error."""
    if not isinstance(table, dict):
        raise ReadError(
            tell(
                "{source}: {where} must be a table, but is {shown}.",
                source=source,
                where=where,
                shown=_shown(table),
            ),
            tell("See the example."),
        )
    values: dict[str, Any] = {}
    said: dict[str, str] = {}
    for key in keys:
        if key.name not in table:
            continue
        problem = problem_with(key, table[key.name])
        if problem:
            raise ReadError(
                tell(
                    "{source}: {where}: {key} is {shown}, but {problem}.",
                    source=source,
                    where=where,
                    key=key.name,
                    shown=_shown(table[key.name]),
                    problem=problem,
                ),
                _FIX,
            )
        if key.field in said:
            raise ReadError(
                tell(
                    "{source}: {where} gives both {said} and {key}.",
                    source=source,
                    where=where,
                    said=said[key.field],
                    key=key.name,
                ),
                tell("Keep one of them."),
            )
        values[key.field], said[key.field] = value_of(key, table[key.name]), key.name
    return values


_FIX = tell("Correct it, or leave the key out if it is not known.")


def _shown(value: object) -> str:
    text = tell('"{value}"', value=value) if isinstance(value, str) else str(value)
    text = join("", (char if char.isprintable() else "?" for char in text[:60]))
    return text or "nothing"


def _player(table: object, source: str) -> Player:
    if isinstance(table, dict):
        _reject_unknown(table, (key.name for key in PLAYER_KEYS), source, tell("under [player]"))
    return Player(**_values(table, PLAYER_KEYS, source, "[player]"))


def _clubs(tables: object, source: str) -> tuple[Club, ...]:
    if not isinstance(tables, list):
        raise ReadError(
            tell("{source}: club must be written as [[club]], once for each club.", source=source),
            tell("See the example."),
        )
    if len(tables) > MAX_CLUBS:
        raise ReadError(
            tell(
                "{source}: {tables} clubs are more than the {max_clubs} allowed.",
                source=source,
                tables=len(tables),
                max_clubs=MAX_CLUBS,
            ),
            tell("Split the file."),
        )
    clubs = tuple(_club(table, i, source) for i, table in enumerate(tables, start=1))
    _reject_twins(clubs, source)
    return clubs


def _club(table: object, position: int, source: str) -> Club:
    name = table.get("name") if isinstance(table, dict) else None
    where = tell("club {position}", position=position) + (
        tell(" ({shown})", shown=_shown(name)) if isinstance(name, str) else ""
    )
    if isinstance(table, dict):
        known = [key.name for key in (*CLUB_KEYS, *BUILD_KEYS)]
        _reject_unknown(table, [*known, "proposed"], source, tell("in {where}", where=where))
    values = _values(table, CLUB_KEYS, source, where)
    build = Build(**_values(table, BUILD_KEYS, source, where))
    proposed = _proposed(table.get("proposed", []) if isinstance(table, dict) else [], source, where)
    if "name" not in values:
        raise ReadError(
            tell("{source}: {where} has no name.", source=source, where=where),
            tell('Give each club a unique one: name = "7 iron".'),
        )
    _fill_from_name(values, source, where)
    return Club(**values, build=build, proposed=proposed)


def _fill_from_name(values: dict[str, Any], source: str, where: str) -> None:
    """Take kind, number and stamped loft from a usual name where left out; refuse contradictions."""
    said = parse_club_name(values["name"])
    if "number" in values:
        values["number"] = str(values["number"])
    if said is None:
        if "kind" not in values:
            step = tell('Add one, such as kind = "iron": its name alone does not say.')
            raise ReadError(tell("{source}: {where} has no kind.", source=source, where=where), step)
        return
    kind = values.setdefault("kind", said.kind)
    if kind != said.kind and {kind, said.kind} not in _KINDS_THAT_MIX:
        raise ReadError(
            tell(
                "{source}: {where}: kind is {kind}, but the name says {kind_2}.",
                source=source,
                where=where,
                kind=kind,
                kind_2=said.kind,
            ),
            tell("Correct one of them."),
        )
    number = plain_number(values.get("number"))
    if said.number is not None and number is None:
        values["number"] = said.number
    elif said.number is not None and number is not None and number != plain_number(said.number):
        raise ReadError(
            tell(
                "{source}: {where}: number is {shown}, but the name says {number}.",
                source=source,
                where=where,
                shown=_shown(values["number"]),
                number=said.number,
            ),
            tell("Correct one of them."),
        )
    if said.loft_deg is not None:
        values.setdefault("stamped_loft_deg", said.loft_deg)


def _proposed(tables: object, source: str, where: str) -> tuple[tuple[str, str, str], ...]:
    if not isinstance(tables, list) or len(tables) > 50:
        raise ReadError(
            tell(
                "{source}: {where}: proposed must be written as [[club.proposed]].",
                source=source,
                where=where,
            ),
            tell("See the example."),
        )
    allowed = [field.name for field in dataclass_fields(Build)]
    out = []
    for table in tables:
        inside = tell("{where}, proposed", where=where)
        if isinstance(table, dict):
            _reject_unknown(
                table, (key.name for key in PROPOSED_KEYS), source, tell("in {inside}", inside=inside)
            )
        values = _values(table, PROPOSED_KEYS, source, inside)
        missing = [key.name for key in PROPOSED_KEYS if key.name not in values]
        if missing:
            step = tell("No change is proposed without field, value and reason.")
            raise ReadError(
                tell(
                    "{source}: {inside} has no {missing}.", source=source, inside=inside, missing=missing[0]
                ),
                step,
            )
        if values["field"] not in allowed:
            near = difflib.get_close_matches(values["field"], allowed, n=1, cutoff=0.4)
            step = (
                tell('Did you mean "{near}"?', near=near[0])
                if near
                else tell("Fields: {allowed}.", allowed=join(", ", allowed))
            )
            raise ReadError(
                tell(
                    "{source}: {inside}: {shown} is no field of a build.",
                    source=source,
                    inside=inside,
                    shown=_shown(values["field"]),
                ),
                step,
            )
        out.append((values["field"], values["value"], values["reason"]))
    return tuple(out)


def _reject_twins(clubs: tuple[Club, ...], source: str) -> None:
    """Refuse two clubs with one name, however it is dressed: builds are told apart by name."""
    seen: dict[str, str] = {}
    for club in clubs:
        key = clean_text(club.name)
        if key in seen:
            step = tell("Give each build its own name.")
            raise ReadError(
                tell("{source}: two clubs are named {shown}.", source=source, shown=_shown(club.name)), step
            )
        seen[key] = club.name


def _shot_files(value: object, source: str) -> tuple[str, ...]:
    if not isinstance(value, list) or len(value) > 1000:
        raise ReadError(
            tell("{source}: shots must be a list of files.", source=source),
            tell('Write shots = ["visit.csv"].'),
        )
    for item in value:
        problem = text_problem(item, 1000)
        if not problem and (item.startswith(("/", "\\")) or item[1:2] == ":" or "\n" in item or "\t" in item):
            problem = tell("must be relative to the bag file")
        if problem:
            raise ReadError(
                tell(
                    "{source}: shots holds {shown}, but each {problem}.",
                    source=source,
                    shown=_shown(item),
                    problem=problem,
                ),
                tell('Write shots = ["visit.csv"].'),
            )
    return tuple(value)


def dump_bag(bag: Bag) -> str:
    """Write a bag as the text of a bag file. Reading it back gives the same bag to the last digit.

    Raises InputError where a bag made in Python holds what no bag file can, such as an empty name.
    """
    parts = []
    if bag.shot_files:
        parts.append(f"shots = [{', '.join(quoted(name) for name in bag.shot_files)}]\n")
    parts.append("[player]\n" + _lines(bag.player, PLAYER_KEYS, Player()))
    parts.extend(_club_text(club) for club in bag)
    text = "\n".join(parts)
    try:
        text.encode("utf-8")
        again = parse_bag(text)
    except (ReadError, UnicodeEncodeError) as error:
        raise InputError(
            tell("This bag cannot be written: {error}", error=cut(str(error), 300)),
            tell("Correct the value."),
        ) from error
    if (again.player, again.clubs, again.shot_files) != (bag.player, bag.clubs, bag.shot_files):
        raise InputError(
            tell("This bag cannot be written so that it reads back the same."),
            tell("Trim its texts and lists."),
        )
    return text


def _club_text(club: Club) -> str:
    empty = Club("", club.kind)
    text = "[[club]]\n" + _lines(club, CLUB_KEYS, empty, always=("kind", "status"))
    text += _lines(club.build, BUILD_KEYS, Build())
    for field, value, reason in club.proposed:
        text += "\n[[club.proposed]]\n"
        text += f"field = {quoted(field)}\nvalue = {quoted(value)}\nreason = {quoted(reason)}\n"
    return text


def _lines(item: object, keys: tuple[Key, ...], empty: object, always: tuple[str, ...] = ()) -> str:
    """Write one line for each field that says something, under the key whose unit writes it shortest."""
    options: dict[str, list[Key]] = {}
    for key in keys:
        options.setdefault(key.field, []).append(key)
    lines = []
    for field, choices in options.items():
        value = getattr(item, field)
        if field in always or value != getattr(empty, field):
            lines.append(min((_line(key, value) for key in choices if _exact(key, value)), key=len))
    return "".join(f"{line}\n" for line in lines)


def _exact(key: Key, value: object) -> bool:
    """Tell whether the value survives being written in this key's unit; the SI unit always does."""
    return key.shape != "number" or key.factor == 1.0 or _in_unit(key, float(str(value))) is not None


def _in_unit(key: Key, value: float) -> float | None:
    for digits in range(7):
        shown = round(value / key.factor, digits)
        if shown * key.factor == value:
            return shown
    return None


def _line(key: Key, value: object) -> str:
    if key.shape == "number" and isinstance(value, int | float):
        shown = float(value) if key.factor == 1.0 else _in_unit(key, float(value))
        number = repr(shown)
        return f"{key.name} = {number.removesuffix('.0')}"
    if isinstance(value, bool):
        return f"{key.name} = {'true' if value else 'false'}"
    if isinstance(value, tuple):
        return f"{key.name} = [{', '.join(quoted(item) for item in value)}]"
    return f"{key.name} = {value}" if isinstance(value, int) else f"{key.name} = {quoted(str(value))}"
