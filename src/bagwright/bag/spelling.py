"""Club names as people write them.

A name is understood only when every part of it is: "7i", "Iron 7", "hybrid 3", "PW", "56°", "52.10" are;
"7i blue shaft" is not, because the rest may tell two builds apart, and builds never merge. A bare "7" could
be an iron, a wood or a hybrid, so it means nothing; a bare "56" can only be a wedge's loft.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from bagwright.bag.club import Kind

MAX_NAME = 60
"""Characters of a name that are looked at; a longer text is nobody's club."""

_DEGREE_SIGNS = "°º˚"
_IRON_NUMBERS = range(1, 13)
_WOOD_NUMBERS = range(2, 12)
_HYBRID_NUMBERS = range(1, 12)
_BARE_WEDGE_LOFTS = (44.0, 64.0)
_BOUNCES = range(4, 17)
_LOFTS: dict[Kind, tuple[float, float]] = {
    "driver": (5.0, 16.0),
    "wood": (12.0, 35.0),
    "hybrid": (12.0, 40.0),
    "iron": (12.0, 50.0),
    "wedge": (40.0, 72.0),
    "putter": (-15.0, 10.0),
}
"""Lofts in degrees that a name may carry for each kind (common practice, no source; wide on purpose)."""

_KIND_WORDS: dict[str, Kind] = {
    **dict.fromkeys(("i", "ir", "iron", "irons", "eisen", "fer", "hierro", "driving"), "iron"),
    **dict.fromkeys(("wd", "wood", "woods", "fairway", "fw", "fwy", "metal", "holz", "bois"), "wood"),
    **dict.fromkeys(("fairwayholz",), "wood"),
    **dict.fromkeys(("h", "hy", "hyb", "hybrid", "hybrids", "rescue"), "hybrid"),
    **dict.fromkeys(("d", "dr", "drv", "driver", "mini"), "driver"),
    **dict.fromkeys(("pt", "put", "putt", "putter"), "putter"),
    **dict.fromkeys(("wedge", "wedges", "wdg"), "wedge"),
}  # fmt: skip
_UTILITY_WORDS = frozenset({"u", "ut", "util", "utility"})
"""A utility is a hybrid, but a utility iron is an iron."""
WEDGE_WORDS = {
    **dict.fromkeys(("pw", "pitching", "pitch", "pitchingwedge"), "PW"),
    **dict.fromkeys(("gw", "aw", "uw", "gap", "approach", "attack", "gapwedge", "approachwedge"), "GW"),
    **dict.fromkeys(("sw", "sand", "sandwedge", "sandeisen"), "SW"),
    **dict.fromkeys(("lw", "lob", "lobwedge"), "LW"),
}
"""Every word for a wedge by letters, and the letters the trade stamps: gap, approach and attack are one."""
WEDGE_LETTERS = {"p": "PW", "g": "GW", "a": "GW", "s": "SW", "l": "LW"}
"""Letters that mean a wedge only beside "w" or "wedge": alone they may as well name a candidate."""
_DEGREE_WORDS = frozenset({"deg", "degs", "degree", "degrees", "grad", "loft"})
_FILLERS = frozenset({"no", "nr", "num", "number"})
_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_NUMBER_WORDS = {word: str(i) for i, word in enumerate(_NUMBERS, start=1)}
_WEDGE_LABELS = {"PW": "pitching wedge", "GW": "gap wedge", "SW": "sand wedge", "LW": "lob wedge"}

_TOKEN = re.compile(
    r"(?P<number>[0-9]{1,3}(?:[.,][0-9]{1,2})?)|(?P<word>[a-z]+)|(?P<degree>°)|(?P<space>[\s\-_/.,#():]+)"
)
_ORDINAL = re.compile(r"\b([0-9]{1,2})er\b")
"""German "7er Eisen" is the iron 7."""
_GLUED_INITIALS = re.compile(r"\b([pgasl])[./ ]w\b\.?")


@dataclass(frozen=True, slots=True)
class ClubName:
    """What a name says: kind, number ("7", "PW", "mini"), loft and bounce in degrees.

    `label` is one spelling for all of them ("7 iron", "pitching wedge", "52.10 wedge"); it parses to itself.
    """

    kind: Kind
    number: str | None = None
    loft_deg: float | None = None
    label: str = ""
    bounce_deg: float | None = None


def clean_text(text: str) -> str:
    """Make texts comparable: ASCII digits, no invisible characters, single blanks, lower case.

    Full-width and foreign digits become ASCII; superscripts stay, so that "5²" does not become 52.
    """
    out = []
    for char in text[: 4 * MAX_NAME]:
        if char in _DEGREE_SIGNS:
            char = "°"
        elif "！" <= char <= "～":
            char = chr(ord(char) - 0xFEE0)
        elif char == "\N{MINUS SIGN}" or unicodedata.category(char) == "Pd":
            char = "-"
        elif unicodedata.category(char) == "Nd":
            char = str(unicodedata.decimal(char))
        elif unicodedata.category(char) in ("Cf", "Cc", "Cs"):
            char = " " if char in "\t\r\n" else ""
        out.append(char)
    return " ".join("".join(out).casefold().split())


def parse_club_name(text: str) -> ClubName | None:
    """Say what a name in any usual spelling means; None when empty, unknown or ambiguous. Never raises."""
    cleaned = clean_text(text)
    if not cleaned or len(cleaned) > MAX_NAME or len(text) > 4 * MAX_NAME:
        return None
    parts = _Parts.of(cleaned)
    return None if parts is None else parts.name()


def split_club_name(text: str) -> tuple[ClubName | None, str]:
    """Split off a leading club name: "7i blue shaft" gives the 7 iron and "blue shaft".

    For finding out what kind of club an unknown build is; never for deciding that two builds are one.
    Returns (None, the cleaned text) when no beginning of the text is a club name.
    """
    cleaned = clean_text(text)
    words = cleaned[:MAX_NAME].split()
    for end in range(len(words), 0, -1):
        name = parse_club_name(" ".join(words[:end]))
        if name is not None:
            return name, " ".join(words[end:])
    return None, cleaned


@dataclass(slots=True)
class _Parts:
    """The parts of one name, gathered before they are judged together."""

    kinds: set[Kind]
    wedges: set[str]
    numbers: list[str]
    degree: bool = False
    utility: bool = False
    letter_w: bool = False
    mini: bool = False
    driving: bool = False

    @classmethod
    def of(cls, cleaned: str) -> _Parts | None:
        """Gather the parts of a cleaned name; None when something in it is no part of a club's name."""
        cleaned = _ORDINAL.sub(r"\1", _GLUED_INITIALS.sub(r"\1w", cleaned))
        parts, end = cls(set(), set(), []), 0
        while end < len(cleaned):
            match = _TOKEN.match(cleaned, end)
            if match is None or (match["number"] and cleaned[match.end() : match.end() + 1].isdigit()):
                return None
            if not parts._take(match):
                return None
            end = match.end()
        return parts

    def _take(self, match: re.Match[str]) -> bool:
        """Note one token; False when it means nothing here."""
        if match["number"]:
            self.numbers.append(match["number"].replace(",", "."))
        elif match["degree"] or (match["word"] or "") in _DEGREE_WORDS:
            self.degree = True
        elif match["word"]:
            return self._take_word(match["word"])
        return True

    def _take_word(self, word: str) -> bool:
        self.mini |= word == "mini"
        self.driving |= word == "driving"
        if word in _KIND_WORDS:
            self.kinds.add(_KIND_WORDS[word])
        elif word in WEDGE_WORDS:
            self.wedges.add(WEDGE_WORDS[word])
        elif word in WEDGE_LETTERS:
            self.wedges.add(word)
        elif word in _NUMBER_WORDS:
            self.numbers.append(_NUMBER_WORDS[word])
        elif word in _UTILITY_WORDS:
            self.utility = True
        elif word == "w":
            self.letter_w = True
        else:
            return word in _FILLERS
        return True

    def name(self) -> ClubName | None:
        """Judge the parts together; None where they contradict each other or leave a choice."""
        kind = self._kind()
        if kind is None:
            return None
        if kind == "wedge":
            return self._wedge()
        if self.wedges or len(self.numbers) > 2:
            return None
        if kind == "wood" and "1" in self.numbers:  # a 1 wood is a driver
            self.numbers.remove("1")
            self.degree &= bool(self.numbers)
            kind = "driver"
        if kind == "driver":
            return self._driver()
        if kind == "putter":
            return ClubName("putter", label="putter") if not self.numbers and not self.degree else None
        return self._numbered(kind)

    def _kind(self) -> Kind | None:
        kinds = set(self.kinds)
        if kinds == {"hybrid", "iron"} and not self.driving:
            kinds = {"hybrid"}
        if self.utility and kinds != {"iron"}:
            kinds.add("hybrid")
        if self.letter_w and not kinds and not self.wedges and not self.numbers:
            return None  # a lone "w" may be a wood or a wedge
        if self.letter_w:
            kinds.add("wedge" if self.wedges or "wedge" in kinds or self._first_is_wedge_loft() else "wood")
        if self.wedges:
            kinds.add("wedge")
        if not kinds and self.numbers and self._first_is_wedge_loft():
            kinds.add("wedge")
        return kinds.pop() if len(kinds) == 1 else None

    def _first_is_wedge_loft(self) -> bool:
        low, high = _LOFTS["wedge"] if self.degree else _BARE_WEDGE_LOFTS
        return bool(self.numbers) and low <= float(self.numbers[0]) <= high

    def _wedge(self) -> ClubName | None:
        number = self._wedge_number()
        if number is None or len(self.numbers) > 2:
            return None
        loft, bounce = _loft_and_bounce(self.numbers)
        if self.numbers and (loft is None or not _LOFTS["wedge"][0] <= loft <= _LOFTS["wedge"][1]):
            return None
        if self.degree and loft is None:
            return None
        return ClubName("wedge", number or None, loft, _wedge_label(number, loft, bounce), bounce)

    def _wedge_number(self) -> str | None:
        """Find the letters of the wedge: PW, GW, SW, LW; "" without any, None for a contradiction."""
        letters = self.wedges & WEDGE_LETTERS.keys()
        if letters and not (self.letter_w or "wedge" in self.kinds):
            return None
        found = {WEDGE_LETTERS.get(word, word) for word in self.wedges}
        if len(found) > 1:
            return None
        return found.pop() if found else ""

    def _driver(self) -> ClubName | None:
        loft = None
        if self.numbers:
            loft = float(self.numbers[0])
            if len(self.numbers) > 1 or not _LOFTS["driver"][0] <= loft <= _LOFTS["driver"][1]:
                return None
        elif self.degree:
            return None
        number, label = ("mini", "mini driver") if self.mini else (None, "driver")
        return ClubName("driver", number, loft, _with_loft(label, loft))

    def _numbered(self, kind: Kind) -> ClubName | None:
        """Judge an iron, wood or hybrid: at most one number and one loft."""
        number: str | None = None
        loft: float | None = None
        for text in self.numbers:
            as_number = self._as_number(kind, text)
            if as_number is not None and number is None and not (self.degree and len(self.numbers) == 1):
                number = as_number
            elif loft is None and self._may_be_loft(kind, text):
                loft = float(text)
            else:
                return None
        if self.degree and loft is None:
            return None
        return ClubName(kind, number, loft, self._label(kind, number, loft))

    def _as_number(self, kind: Kind, text: str) -> str | None:
        numbers = {"iron": _IRON_NUMBERS, "wood": _WOOD_NUMBERS}.get(kind, _HYBRID_NUMBERS)
        return str(int(text)) if text.isdigit() and int(text) in numbers else None

    def _may_be_loft(self, kind: Kind, text: str) -> bool:
        """Tell a loft of this kind. Without a degree sign "13 wood" could be a number: not taken."""
        low, high = _LOFTS[kind]
        certain = self.degree or "." in text or float(text) >= 16.0 or len(self.numbers) == 2
        return certain and low <= float(text) <= high

    def _label(self, kind: Kind, number: str | None, loft: float | None) -> str:
        if number is not None:
            return _with_loft(f"{number} {kind}", loft)
        if loft is not None:
            return f"{loft:g}° {kind}"
        return "driving iron" if self.driving else kind


def _with_loft(label: str, loft: float | None) -> str:
    return label if loft is None else f"{label} {loft:g}°"


def _wedge_label(number: str, loft: float | None, bounce: float | None) -> str:
    name = _WEDGE_LABELS.get(number, "wedge")
    if loft is None:
        return name
    if bounce is not None:
        return f"{loft:g}.{bounce:02.0f} {name}" if loft == int(loft) else f"{loft:g}/{bounce:g} {name}"
    return f"{loft:g}° {name}"


def _loft_and_bounce(numbers: list[str]) -> tuple[float | None, float | None]:
    """Read a wedge's loft and bounce: "52.10" and "52/10" are 52° with 10° of bounce, "52.5" is all loft."""
    if not numbers:
        return None, None
    whole, _, decimals = numbers[0].partition(".")
    if len(numbers) == 2:
        bounce = numbers[1]
        fits = bounce.isdigit() and int(bounce) in _BOUNCES and len(decimals) < 2
        return (float(numbers[0]), float(bounce)) if fits else (None, None)
    if len(decimals) == 2 and int(decimals) in _BOUNCES:
        return float(whole), float(decimals)
    return float(numbers[0]), None
