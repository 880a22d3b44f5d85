"""What a heading says: the quantity, the unit and which side is positive."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, replace

from bagwright.errors import InputError
from bagwright.shots.quantities import BY_NAME, TEXT_HEADINGS
from bagwright.shots.words import ASKED_HEADINGS, MEANING, NOT_A_COLUMN
from bagwright.units import Unit, find_unit
from bagwright.words import tell

_LONGEST = 120
_FILLERS = frozenset(
    [
        "dist",
        "distance",
        "value",
        "measured",
        "estimated",
        "est",
        "calculated",
        "calc",
        "of",
        "the",
        "at",
        "in",
        "actual",
    ]
)
_CAMEL = re.compile(r"(?<=[a-zäöüß])(?=[A-ZÄÖÜ])")
_BRACKETS = re.compile(r"[(\[{<]([^()\[\]{}<>]{0,40})[)\]}>]")
_R, _L = r"(?:right|rechts|r)", r"(?:left|links|l)"
_NO = r"(?![a-zäöü])"
_POSITIVE_RIGHT = re.compile(
    rf"\+\s*=?\s*{_R}{_NO}|\b{_R}\s*(?:is|=|:)?\s*(?:\+|positive|pos\b)|\bpositive\s+(?:is\s+|=\s*)?{_R}{_NO}"
    rf"|(?<![a-z])-\s*=?\s*{_L}{_NO}|\b{_L}\s*(?:is|=|:)?\s*(?:-(?!\s*(?:{_R}{_NO}|[+]))|negative|neg\b)"
    rf"|\bnegative\s+(?:is\s+|=\s*)?{_L}{_NO}"
)
_POSITIVE_LEFT = re.compile(
    rf"\+\s*=?\s*{_L}{_NO}|\b{_L}\s*(?:is|=|:)?\s*(?:\+|positive|pos\b)|\bpositive\s+(?:is\s+|=\s*)?{_L}{_NO}"
    rf"|(?<![a-z])-\s*=?\s*{_R}{_NO}|\b{_R}\s*(?:is|=|:)?\s*(?:-(?!\s*(?:{_L}{_NO}|[+]))|negative|neg\b)"
    rf"|\bnegative\s+(?:is\s+|=\s*)?{_R}{_NO}"
)
_PARTED_UNITS = {
    "km h": "kmh",
    "m s": "mps",
    "ft s": "fps",
    "mi h": "mph",
    "miles h": "mph",
    "miles per hour": "mph",
}


@dataclass(frozen=True, slots=True)
class Heading:
    """One heading understood. `name` is a measure, a text column, "" (not known) or "?" (two readings fit).

    `positive` is +1 where the heading says that right is positive, -1 for left, 0 where it does not say.
    """

    text: str
    name: str = ""
    unit: Unit | None = None
    positive: int = 0
    readings: tuple[str, ...] = ()
    how: str = ""


def plain(text: str) -> str:
    """Return a heading in its simplest form, for comparing two of them: one case, one kind of space."""
    folded = unicodedata.normalize("NFKC", text[:_LONGEST]).casefold()
    return " ".join("".join(c for c in folded if unicodedata.category(c)[0] != "C" or c in "\t\n").split())


def understand(text: str, columns: dict[str, str] | None = None) -> Heading:
    """Return what the heading `text` says; what the user said of it in `columns` goes first."""
    told = _told(text, columns) if columns else None
    if told is not None:
        return told
    if len(text) > _LONGEST:
        return Heading(text, how=tell("too long for a heading"))
    heading = _understand(text, plain(text))
    return heading if heading.name else _understand(text, plain(_CAMEL.sub(" ", text)))


def _understand(text: str, simple: str) -> Heading:
    spaced = simple.replace("−", "-").replace("–", "-")
    positive = _positive(spaced)
    rest, unit = _bracketed_unit(_without_side_words(spaced) if positive else spaced)
    heading = _named(text, _base(rest), unit)
    if unit is None and not heading.name:
        rest, unit = _trailing_unit(rest)
        heading = _named(text, _base(rest), unit)
    if heading.name in BY_NAME and BY_NAME[heading.name].sided:
        heading = replace(heading, positive=positive or int(_is_ours(text, _base(rest), heading)))
    return heading


def _is_ours(text: str, base: str, heading: Heading) -> bool:
    """Tell whether a heading is one of our own, in which right is positive: "offline", "path_deg"."""
    if base in ("offline", "offline total"):
        return True
    unit = heading.unit.name if heading.unit is not None else ""
    return text.strip() == f"{BY_NAME[heading.name].heading}_{unit}"


def _positive(spaced: str) -> int:
    right, left = bool(_POSITIVE_RIGHT.search(spaced)), bool(_POSITIVE_LEFT.search(spaced))
    return int(right) - int(left)


def _without_side_words(spaced: str) -> str:
    return _POSITIVE_LEFT.sub(" ", _POSITIVE_RIGHT.sub(" ", spaced))


def _bracketed_unit(spaced: str) -> tuple[str, Unit | None]:
    """Take the unit out of brackets; other words in brackets stay as words of the heading."""
    unit: Unit | None = None

    def keep(match: re.Match[str]) -> str:
        nonlocal unit
        inside = match[1].strip(" ,;/+-")
        first, _, rest = inside.partition(",")
        found = find_unit(inside) or (find_unit(first) if rest.strip(" lr/+-") == "" else None)
        if found is not None and unit is None:
            unit = found
            return " "
        return f" {inside} "

    return _BRACKETS.sub(keep, spaced), unit


def _trailing_unit(spaced: str) -> tuple[str, Unit | None]:
    """Take a unit from the end: "carry yd", "carry_yd", "carry, m", "ball speed - km/h", "speed m s"."""
    words = [word for word in re.split(r"[\s_,;:\-]+", spaced) if word]
    for count in (3, 2, 1):
        if len(words) <= count:
            continue
        tail = " ".join(words[-count:])
        unit = find_unit(_PARTED_UNITS.get(tail, tail))
        if unit is not None:
            return " ".join(words[:-count]), unit
    return spaced, None


def _base(spaced: str) -> str:
    return " ".join(re.sub(r"[_/\\.,:;*+\-'\"()\[\]{}<>|=?!&]+", " ", spaced).split())


def _named(text: str, base: str, unit: Unit | None) -> Heading:
    without = " ".join(word for word in base.split() if word not in _FILLERS)
    for candidate in (base, without, without.removesuffix(" l r").removesuffix(" r l")):
        name = MEANING.get(candidate)
        if name is not None:
            return _fitting(Heading(text, name, unit, how=tell("heading")))
        if candidate in NOT_A_COLUMN:
            return Heading(text, how=tell("not used: who hit is not read from a table"))
        if candidate in ASKED_HEADINGS:
            readings = _readings(ASKED_HEADINGS[candidate], unit)
            if unit is not None and len(readings) == 1:
                return Heading(text, readings[0], unit, how=tell("heading and unit"))
            return Heading(text, "?", unit, readings=readings)
        own = candidate.replace(" ", "_")
        if own in TEXT_HEADINGS:
            return Heading(text, own, unit, how=tell("heading"))
    return Heading(text, how=tell("heading not known"))


def _readings(names: tuple[str, ...], unit: Unit | None) -> tuple[str, ...]:
    return tuple(name for name in names if unit is None or BY_NAME[name].dimension == unit.dimension)


def _fitting(heading: Heading) -> Heading:
    """Refuse a unit of another dimension: the column then is not what the words say."""
    quantity = BY_NAME.get(heading.name)
    if quantity is None or heading.unit is None or heading.unit.dimension == quantity.dimension:
        return heading
    if heading.name == "offline_m" and heading.unit.dimension == "angle":
        return Heading(heading.text, "direction_rad", heading.unit, how=tell("heading, an angle"))
    if heading.name == "impact_toe_m" or quantity.dimension == "ratio":
        return Heading(
            heading.text,
            how=tell("{unit} does not fit {heading}", unit=heading.unit.name, heading=quantity.heading),
        )
    return Heading(
        heading.text,
        how=tell("{unit} is no unit of {heading}", unit=heading.unit.name, heading=quantity.heading),
    )


def _told(text: str, columns: dict[str, str]) -> Heading | None:
    """Return what the answer file says of this heading. Raises InputError for words that cannot be used."""
    wanted = next((value for key, value in columns.items() if plain(key) == plain(text)), None)
    if wanted is None:
        return None
    words = wanted.casefold().split()
    if words in (["ignore"], []):
        return Heading(text, how=tell("left alone, as you said"))
    name, rest = words[0], words[1:]
    full = next((q.name for q in BY_NAME.values() if name in (q.name, q.heading)), name)
    if full not in BY_NAME and full not in TEXT_HEADINGS and full not in ("date", "time_of_day", "side"):
        raise InputError(
            tell(
                '"{wanted}" for the column "{text}" begins with no name that is known.',
                wanted=wanted[:60],
                text=text[:40],
            ),
            tell("Use a heading of docs/names.md, such as carry, offline or ball_speed."),
        )
    positive = 1 if "right" in rest else -1 if "left" in rest else 0
    units = [word for word in rest if word not in ("right", "left")]
    unit = find_unit(" ".join(units)) if units else None
    quantity = BY_NAME.get(full)
    if units and (unit is None or quantity is None or unit.dimension != quantity.dimension):
        raise InputError(
            tell(
                '"{units}" is no unit of {name} (column "{text}").',
                units=" ".join(units)[:30],
                name=name,
                text=text[:40],
            ),
            tell("Correct it."),
        )
    return Heading(text, full, unit, positive, how=tell("as you said"))
