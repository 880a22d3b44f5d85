"""The keys of a bag file: what each holds, in which unit, and between which limits.

Limits are there to catch slips such as a length in centimetres under `length_in`; they are wider than
anything that is sold, and wider than what the Rules allow, which is for `bagwright.bag.rules` to say.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from bagwright.bag.club import KINDS, STATUSES
from bagwright.units import M_PER_IN, MPS_PER_KMH, MPS_PER_MPH
from bagwright.words import join, tell

MAX_TEXT = 200
MAX_NOTE = 2000
MAX_LIST = 50

_TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Direction overrides and embeddings: with one in a name, a page or paper shows other words than are stored.
Letters that are written from right to left need none of them."""

Shape = Literal["number", "text", "choice", "flag", "texts", "whole"]


@dataclass(frozen=True, slots=True)
class Key:
    """One key of the file: its field in the program, shape, factor to the field's unit, limits, words.

    `low` and `high` are in the key's own unit. `choices` maps every word that is taken to the word kept.
    """

    name: str
    field: str
    shape: Shape
    factor: float = 1.0
    low: float = -math.inf
    high: float = math.inf
    unit: str = ""
    choices: Mapping[str, str] | None = None
    longest: int = MAX_TEXT


def _number(name: str, low: float, high: float, unit: str, field: str = "", factor: float = 1.0) -> Key:
    return Key(name, field or name, "number", factor, low, high, unit)


def _lengths(field: str, low_m: float, high_m: float) -> tuple[Key, ...]:
    """Keys for one length in inches, centimetres or metres."""
    return tuple(
        _number(
            f"{field[:-2]}_{unit}",
            low_m / factor,
            high_m / factor,
            words,
            field,
            factor,
        )
        for unit, factor, words in (
            ("in", M_PER_IN, tell("inches")),
            ("cm", 0.01, tell("centimetres")),
            ("m", 1.0, tell("metres")),
        )
    )


def _choice(name: str, *words: str, **also: str) -> Key:
    return Key(name, name, "choice", choices={**{word: word for word in words}, **also})


def _text(name: str, longest: int = MAX_TEXT) -> Key:
    return Key(name, name, "text", longest=longest)


PLAYER_KEYS: tuple[Key, ...] = (
    _text("name"),
    _choice("hand", "right", "left"),
    _choice("sex", "female", "male"),
    _number("age", 0.0, 120.0, tell("years")),
    _number("handicap", -12.0, 60.0, tell("strokes")),
    _number("driver_speed_mph", 20.0, 160.0, tell("miles an hour"), "driver_speed_mps", MPS_PER_MPH),
    _number("driver_speed_kmh", 32.0, 258.0, tell("kilometres an hour"), "driver_speed_mps", MPS_PER_KMH),
    _number("driver_speed_mps", 8.9, 71.6, tell("metres a second")),
    *_lengths("height_m", 0.5, 2.6),
    *_lengths("wrist_to_floor_m", 0.2, 1.4),
    _text("injury", MAX_NOTE),
    Key("pain", "pain", "flag"),
    _text("ball"),
    _text("goals", MAX_NOTE),
    _text("divot"),
    _text("turf"),
    _text("sand"),
    Key("club_limit", "club_limit", "whole", low=1.0, high=14.0, unit=tell("clubs")),
    _text("currency"),
    _text("seller_interest", MAX_NOTE),
)

BUILD_KEYS: tuple[Key, ...] = (
    _text("head"),
    _number("loft_deg", -20.0, 80.0, tell("degrees")),
    _text("hosel_setting"),
    *_lengths("length_m", 0.2, 2.0),
    _number("lie_angle_deg", 40.0, 90.0, tell("degrees")),
    _text("shaft"),
    _number("shaft_weight_g", 10.0, 300.0, tell("grams")),
    _text("shaft_flex"),
    _text("swing_weight"),
    _text("grip"),
)

CLUB_KEYS: tuple[Key, ...] = (
    _text("name"),
    _choice("kind", *KINDS),
    _text("number"),
    _choice("status", *STATUSES),
    _number("stamped_loft_deg", -20.0, 80.0, tell("degrees")),
    _number("bounce_deg", -10.0, 30.0, tell("degrees")),
    _text("sole"),
    _number("groove_age_months", 0.0, 1200.0, tell("months")),
    _number("grip_age_months", 0.0, 1200.0, tell("months")),
    _number("head_volume_cm3", 1.0, 2000.0, tell("cubic centimetres")),
    _text("construction"),
    Key("use", "use", "texts"),
    Key("also", "also", "texts"),
    _number("price", 0.0, 1e9, tell("of your currency")),
    _number("lead_time_days", 0.0, 3650.0, tell("days")),
    _text("note", MAX_NOTE),
)

PROPOSED_KEYS: tuple[Key, ...] = (_text("field"), _text("value"), _text("reason", MAX_NOTE))
"""Keys of one `[[club.proposed]]`: a field of the build, the value proposed, and why."""


def problem_with(key: Key, value: object) -> str:
    """Say what keeps a value from being used under a key, as "must be ..."; "" when nothing does."""
    if key.shape in ("number", "whole"):
        return _number_problem(key, value)
    if key.shape == "flag":
        return "" if isinstance(value, bool) else tell("must be true or false")
    if key.shape == "choice":
        allowed = key.choices or {}
        words = join(", ", (tell('"{word}"', word=word) for word in dict.fromkeys(allowed.values())))
        return (
            ""
            if isinstance(value, str) and value.strip().lower() in allowed
            else tell("must be one of {words}", words=words)
        )
    if key.shape == "texts":
        return _texts_problem(value)
    if isinstance(value, int) and not isinstance(value, bool) and key.name == "number":
        return "" if abs(value) < 1000 else tell("must be a club's number")
    return text_problem(value, key.longest)


def _number_problem(key: Key, value: object) -> str:
    between = tell(
        "must be a number of {unit} between {key_low:.4g} and {key_high:.4g}",
        unit=key.unit,
        key_low=key.low,
        key_high=key.high,
    )
    if isinstance(value, bool) or not isinstance(value, int | float):
        return tell("{between}, without quotes", between=between)
    if not math.isfinite(value) or not key.low <= value <= key.high:
        return between
    return tell("must be a whole number") if key.shape == "whole" and value != int(value) else ""


def _texts_problem(value: object) -> str:
    if not isinstance(value, list) or len(value) > MAX_LIST:
        return tell('must be a list of at most {max_list} texts, such as ["tee"]', max_list=MAX_LIST)
    problems = [text_problem(item, MAX_TEXT) for item in value]
    return next((problem for problem in problems if problem), "")


def text_problem(value: object, longest: int) -> str:
    """Say what keeps a value from being a text of one line (a note: of several); "" when nothing does."""
    if not isinstance(value, str):
        return tell("must be a text in quotes")
    if not value.strip():
        return tell("must not be empty; leave the key out instead")
    if len(value) > longest:
        return tell("must not be longer than {longest} characters", longest=longest)
    allowed = "\n\t" if longest > MAX_TEXT else ""
    bad = next((c for c in value if unicodedata.category(c) in ("Cc", "Cs") and c not in allowed), None)
    if any(c in _TURNING for c in value):
        return tell("must not hold marks that turn the direction of the text")
    return "" if bad is None else tell("must not hold control characters, but has U+{ord:04X}", ord=ord(bad))


def value_of(key: Key, value: object) -> object:
    """Turn a value without problems into the program's own: unit, type and word."""
    if key.shape == "number" and isinstance(value, int | float):
        return float(value) * key.factor
    if key.shape == "whole" and isinstance(value, int | float):
        return int(value)
    if key.shape == "choice" and isinstance(value, str):
        return (key.choices or {})[value.strip().lower()]
    if key.shape == "texts" and isinstance(value, list):
        return tuple(str(item).strip() for item in value)
    if key.shape == "text":
        return str(value).strip()
    return value
