"""The words of a card, taken apart: what is meant, on which side, at which lengths (English and German)."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import pairwise

from bagwright.course.values import unit_named
from bagwright.units import M_PER_FT, M_PER_YD, RAD_PER_DEG

MOST_PHRASES = 40
"""Phrases of one hole; what stands beyond them is one more, which is not understood."""

SUBJECTS: tuple[tuple[str, str], ...] = (
    ("carry", r"forced carry|must carry|carry over|carry|erzwungener flug|pflichtflug|muss fliegen"),
    ("dogleg", r"dog[ -]?leg|double dogleg|bends|knick|biegt ab|biegt"),
    ("out", r"out of bounds|out-of-bounds|o\.b\.|oob|ob|ausgrenze|aus"),
    ("island", r"island green|inselgrün|inselgruen"),
    ("bunker", r"fairway ?bunkers?|green-?side bunkers?|grünbunker|bunkers?|sand ?traps?|sandbunker"),
    ("stream", r"streams?|creeks?|burns?|ditch(?:es)?|brooks?|bach|bäche|graben|gräben"),
    ("water", r"water hazards?|water|ponds?|lakes?|rivers?|wasser ?hindernis|wasser|teiche?|see|"
              r"weiher|fluss"),
    ("deep", r"deep rough|heavy rough|high rough|long grass|heath(?:er|land)?|scrub|gorse|tiefes rough|"
             r"hohes rough|hohes gras|heide|gebüsch|dickicht"),
    ("trees", r"trees?|woods?|forest|bäume|baumreihe|baum|wald|wälder"),
    ("climb", r"uphill|downhill|bergauf|bergab|rises|climbs|falls|drops|ansteigend|abfallend"),
    ("width", r"fairway ?(?:width|breite)|fairway|width|breite"),
    ("green", r"green|grün|gruen"),
)  # fmt: skip
"""What a phrase is about; of several the first of this list counts."""
_SUBJECT = {key: re.compile(rf"(?<![\w]){'(?:' + words + ')'}(?![\w])") for key, words in SUBJECTS}

_SIDES: tuple[tuple[str, str], ...] = (
    ("both", r"both sides|on both sides|either side|left and right|beidseitig|beidseits|beiderseits|"
             r"auf beiden seiten|beide seiten"),
    ("left", r"left|on the left|lhs|links|linker hand"),
    ("right", r"right|on the right|rhs|rechts|rechter hand"),
    ("short", r"short|in front|front|vorne|davor|kurz|vor"),
    ("behind", r"behind|long|back|over the back|beyond|hinten|dahinter|hinter"),
    ("across", r"across|crossing|crosses|quer|kreuzt|querend"),
    ("around", r"all around|around|rundum|ringsum|rund um|rings um"),
)  # fmt: skip
_SIDE = {key: re.compile(rf"(?<![\w]){'(?:' + words + ')'}(?![\w])") for key, words in _SIDES}

_NUMBER = r"(?<![\w.,])([0-9]{1,4}(?:[.,][0-9]{1,2})?)"
_UNIT = r"(yards?|yds?|yd|y|met(?:re|er)s?|meter|m|ft|feet|foot)"
_SIZE = re.compile(
    rf"{_NUMBER}\s*{_UNIT}?\s*(?:x|×|\*|by|mal)\s*([0-9]{{1,4}}(?:[.,][0-9]{{1,2}})?)\s*{_UNIT}?(?!\w)"
)
_COUNTS = {"two": 2, "three": 3, "four": 4, "zwei": 2, "drei": 3, "vier": 4}
_COUNT = re.compile(
    rf"(?<![\w.,])({'|'.join(_COUNTS)}|[2-6])\s+"
    r"(?=(?:fairway ?|green-?side ?|grün)?(?:bunkers?|sand ?traps?)(?!\w))"
)
_ANGLE = re.compile(rf"{_NUMBER}\s*(?:degrees|degree|deg|°|grad)(?!\w)")
_RANGE = re.compile(
    rf"{_NUMBER}\s*{_UNIT}?\s*(?:-|–|to|bis)\s*([0-9]{{1,4}}(?:[.,][0-9]{{1,2}})?)\s*{_UNIT}?(?!\w)"
)
_MEASURE = re.compile(rf"{_NUMBER}\s*{_UNIT}?\s*(wide|breit|deep|tief|long|lang|high|hoch)(?!\w)")
_ONE = re.compile(rf"{_NUMBER}\s*{_UNIT}?(?!\w)")
_NOISE = re.compile(
    r"(?<![\w])(?:the|a|an|at|of|on|in|is|are|from|to|off|side|sides|hand|hole|tee|bei|ab|auf|nach|"
    r"von|vom|der|die|"
    r"das|des|dem|den|am|im|an|ein|eine|ist|sind|it|there|with|mit|all|along|way|entlang|ganz|whole|m|by|um|"
    r"um die|fairway|fairways|green|grün|grüns|greens|seite|zum|zur|about|ca|circa|etwa|some|wide|"
    r"breit|and|und|over|über|"
    r"water|wasser|sand|heide|heath|rough|hazard|for|für|turn|turns|starts|beginnt|penalty area|"
    r"yellow|gelb|gelbes|red|rot|rotes)(?![\w])"
)
_WORD = re.compile(r"[^\W\d_]+(?:[-'][^\W\d_]+)*|[0-9]+(?:[.,][0-9]+)?")


@dataclass(slots=True)
class Phrase:
    """One thing that the words of a hole say."""

    text: str
    subject: str = ""
    sides: tuple[str, ...] = ()
    at_m: float | None = None
    to_m: float | None = None
    size_m: tuple[float, float] | None = None
    angle_rad: float | None = None
    measures: dict[str, float] = field(default_factory=dict)
    """Named sizes: wide, deep, long, high; metres."""
    plural: bool = False
    count: int = 0
    """How many, where a figure or word says it; 0 where none does."""
    yellow: bool = False
    ground: str = ""
    """What a carry is over: deep, sand, or water where nothing says it."""
    down: bool = False
    by_green: bool = False
    rest: str = ""
    """Words that were not understood."""
    doubt: str = ""
    """Why its reading is asked about although all words were understood."""


def phrases_of(words: str, unit: str) -> list[Phrase]:
    """Take a hole's words apart. `unit` is that of figures without one."""
    found: list[Phrase] = []
    for piece in re.split(r"[;\n]|,(?![0-9])|\.(?=\s|$)|(?<=[^0-9]),", words):
        if piece.strip():
            found += _pieces(piece.strip(), unit)
    if len(found) > MOST_PHRASES:  # What is beyond is asked about in one, as words that mean nothing.
        beyond = "; ".join(dict.fromkeys(phrase.text for phrase in found[MOST_PHRASES - 1 :]))
        found[MOST_PHRASES - 1 :] = [Phrase(beyond, rest=beyond)]
    return found


def _pieces(text: str, unit: str) -> list[Phrase]:
    """One piece between commas; parts joined by "and" share what only one of them says."""
    if _SIDE["both"].search(text.lower()):
        return [_phrase(text, text, unit)]
    parts = [part for part in re.split(r"\s+(?:and|und|&|\+)\s+", text) if part.strip()]
    found = [_phrase(part, text, unit) for part in parts]
    for before, here in pairwise(found):
        if not here.subject:
            if before.plural and not before.count and before.at_m is not None and here.at_m is not None:
                before.plural = False  # "bunkers at 230 and 260" are one at each.
            here.subject, here.plural, here.ground = before.subject, before.plural, before.ground
            here.yellow, here.by_green = here.yellow or before.yellow, here.by_green or before.by_green
    for here, after in zip(found[-2::-1], found[:0:-1], strict=True):
        if here.at_m is None and here.subject == after.subject and not here.by_green:
            here.at_m, here.to_m = after.at_m, after.to_m
        if not here.sides and here.subject == after.subject and here.at_m is not None:
            here.sides = after.sides
    return found


def _phrase(text: str, whole: str, unit: str) -> Phrase:
    out = Phrase(whole)
    left = _figures(out, " ".join(text.lower().split()), unit)
    for key, pattern in _SUBJECT.items():
        match = pattern.search(left)
        if match is None:
            continue
        out.subject = key
        out.plural = match[0].endswith("s") or match[0] in ("bäume", "teiche")
        out.down = match[0] in ("downhill", "bergab", "falls", "drops", "abfallend")
        out.by_green = match[0].startswith(("greenside", "green-side", "green side", "grünbunker"))
        left = left[: match.start()] + " " + left[match.end() :]
        break
    _sides(out, left)
    for pattern in _SIDE.values():
        left = pattern.sub(" ", left)
    out.yellow = bool(re.search(r"(?<!\w)(?:yellow|gelb|gelbes)(?!\w)", left))
    out.by_green = out.by_green or bool(re.search(r"(?<!\w)(?:greens?|grüns?)(?!\w)", left))
    if out.subject == "carry":
        out.ground = next((key for key in ("deep", "sand") if _over(key, left)), "water")
        left = _SUBJECT["deep"].sub(" ", _SUBJECT["stream"].sub(" ", _SUBJECT["water"].sub(" ", left)))
    out.rest = " ".join(_WORD.findall(_NOISE.sub(" ", left)))
    return out


def _over(key: str, left: str) -> bool:
    return bool(
        _SUBJECT["deep"].search(left) if key == "deep" else re.search(r"(?<!\w)(?:sand|waste)(?!\w)", left)
    )


def _sides(out: Phrase, left: str) -> None:
    found = [key for key, pattern in _SIDE.items() if pattern.search(left)]
    if "both" in found:
        found = ["left", "right", *(key for key in found if key not in ("both", "left", "right"))]
    out.sides = tuple(found)


def _figures(out: Phrase, text: str, unit: str) -> str:
    """Take the figures out of a text, in the order from the most to the least telling form."""
    match = _COUNT.search(text)
    if match:
        out.count = _COUNTS.get(match[1]) or int(match[1])
        text = _without(text, match)
    match = _ANGLE.search(text)
    if match:
        out.angle_rad = float(match[1].replace(",", ".")) * RAD_PER_DEG
        text = _without(text, match)
    match = _SIZE.search(text)
    if match:
        one, other = match[2] or match[4] or unit, match[4] or match[2] or unit
        out.size_m = (metres(match[1], one), metres(match[3], other))
        text = _without(text, match)
    for match in list(_MEASURE.finditer(text))[:4]:
        word = {"breit": "wide", "tief": "deep", "lang": "long", "hoch": "high"}.get(match[3], match[3])
        out.measures[word] = metres(match[1], match[2] or unit)
    text = _MEASURE.sub(" ", text)
    match = _RANGE.search(text)
    if match:
        one, other = match[2] or match[4] or unit, match[4] or match[2] or unit
        out.at_m, out.to_m = sorted((metres(match[1], one), metres(match[3], other)))
        return _without(text, match)
    match = _ONE.search(text)
    if match:
        out.at_m = metres(match[1], match[2] or unit)
        text = _without(text, match)
    return text


def _without(text: str, match: re.Match[str]) -> str:
    return text[: match.start()] + " " + text[match.end() :]


def metres(figure: str, unit: str) -> float:
    """Turn a figure with its unit into metres."""
    value = float(figure.replace(",", "."))
    if unit.startswith("f"):
        return value * M_PER_FT
    return value * (M_PER_YD if unit_named(unit) == "yd" else 1.0)
