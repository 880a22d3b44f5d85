"""A club on the gauge: as built against its sheet, and a season later against what it was.

Tolerances are those that the build sheet prints: common practice, no source, from memory. Thresholds of
age are judgement. Lofts and lie angles in degrees, lengths in metres, as the bag has them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from bagwright.bag.club import Club
from bagwright.units import M_PER_IN
from bagwright.words import tell

Outcome = Literal["keep", "bend back", "regrip", "retest"]

TOLERANCE: dict[str, float] = {
    "loft_deg": 0.5,
    "lie_angle_deg": 0.5,
    "length_m": 0.0016,
    "shaft_weight_g": 2.0,
    "bounce_deg": 1.0,
}
"""How far a built figure may be from the wanted one; one sixteenth of an inch for length."""
SWING_WEIGHT_POINTS = 1.0
"""A swing weight this near is right."""
TEXTS = ("swing_weight", "shaft", "shaft_flex", "grip", "hosel_setting")
"""Fields that are right when they say the same."""
BENT_DEG = 1.0
"""A loft or lie angle this far from where it was is bent back, or looked at (common practice, no source)."""
GRIP_MONTHS = 18.0
GROOVE_MONTHS = 36.0
"""Ages from which a grip, and a wedge's grooves, are asked about (judgement)."""

Word = Literal["within", "out", "not measured", "not said", "by eye"]
"""`by eye`: the sheet says it in words that no figure can be held against."""

_FIGURE = re.compile(r"\s*([+-]?[0-9]+(?:[.,][0-9]+)?)\s*(°|deg|degrees|in|cm|mm|m|g)?\s*")
_PER_UNIT = {"in": M_PER_IN, "cm": 0.01, "mm": 0.001, "m": 1.0}


def sheet_of(
    present: Mapping[str, float | str | None], proposed: Iterable[Sequence[str]]
) -> dict[str, float | str | None]:
    """What a build sheet asks for: what the club was, and over it the proposed (field, value, reason).

    A figure may carry its unit in the value ("35.5 in") or in the field ("length_in"), as the bag file has
    it. One that cannot be read stays as the words that were written.
    """
    wanted = {field: present.get(field) for field in (*TOLERANCE, *TEXTS)}
    for field, value, *_reason in proposed:
        stem, _, unit = field.rpartition("_")
        known = "length_m" if stem == "length" and unit in _PER_UNIT else field
        if known in TOLERANCE:
            wanted[known] = _figure(value, unit if known == "length_m" else "")
        elif known in wanted:
            wanted[known] = value
    return wanted


def _figure(text: str, unit: str) -> float | str:
    found = _FIGURE.fullmatch(text.replace("\N{MINUS SIGN}", "-"))
    if found is None:
        return text
    said = found[2] if found[2] in _PER_UNIT else ""
    if said and not unit:
        return text
    return float(found[1].replace(",", ".")) * (_PER_UNIT[said or unit] if unit else 1.0)


@dataclass(frozen=True, slots=True)
class FieldCheck:
    """One field: wanted, built, the tolerance where it is a number, and how it stands."""

    field: str
    wanted: float | str | None
    built: float | str | None
    tolerance: float | None
    word: Word

    @property
    def off_by(self) -> float | None:
        """Built less wanted, None where one of them is missing or a text."""
        if isinstance(self.wanted, float | int) and isinstance(self.built, float | int):
            return float(self.built) - float(self.wanted)
        return None


def as_built(
    wanted: dict[str, float | str | None], built: dict[str, float | str | None]
) -> tuple[FieldCheck, ...]:
    """Hold each built figure against the wanted one. A figure that was not measured stays missing."""
    found = []
    for field in (*TOLERANCE, *TEXTS):
        want, got = wanted.get(field), built.get(field)
        if want in (None, "") and got in (None, ""):
            continue
        found.append(FieldCheck(field, want, got, TOLERANCE.get(field), _word(field, want, got)))
    return tuple(found)


def _word(field: str, want: float | str | None, got: float | str | None) -> Word:
    if got in (None, ""):
        return "not measured"
    if want in (None, ""):
        return "not said"
    if field in TOLERANCE:
        if isinstance(want, str) or isinstance(got, str):
            return "by eye"
        return "within" if abs(float(got) - float(want)) <= TOLERANCE[field] + 1e-9 else "out"
    if field == "swing_weight":
        ends = _points(str(want)), _points(str(got))
        if ends[0] is not None and ends[1] is not None:
            return "within" if abs(ends[0] - ends[1]) <= SWING_WEIGHT_POINTS + 1e-9 else "out"
    same = " ".join(str(want).lower().split()) == " ".join(str(got).lower().split())
    return "within" if same else "out"


def _points(text: str) -> float | None:
    """A swing weight such as D2 in points, ten a letter; None for anything else."""
    found = re.fullmatch(r"\s*([A-Ga-g])\s*([0-9](?:[.,][0-9])?)\s*", text)
    return 10.0 * "ABCDEFG".index(found[1].upper()) + float(found[2].replace(",", ".")) if found else None


@dataclass(frozen=True, slots=True)
class Measured:
    """What a gauge and a look said of one club; None or "" where it was not measured."""

    loft_deg: float | None = None
    lie_angle_deg: float | None = None
    grip_state: str = ""
    groove_state: str = ""


@dataclass(frozen=True, slots=True)
class Advice:
    """What a check suggests for one club, the reasons, and what to mind; the professional decides."""

    outcome: Outcome
    reasons: tuple[str, ...]
    cautions: tuple[str, ...]


def advise(club: Club, now: Measured, carry_changed: float | None = None) -> Advice:
    """Suggest what to do with a club; `carry_changed` is the chance (0..1) that its carry has changed.

    Bent back comes before regripped, regripped before retested: a bent club is not worth a test as it is.
    """
    reasons: list[str] = []
    cautions: list[str] = []
    outcome: Outcome = "keep"
    bent = _bent(club, now)
    worn = _worn(club, now)
    if carry_changed is not None and carry_changed >= 0.75:
        outcome = "retest"
        reasons.append(
            tell("Its carry has probably changed: more balls, and a look at ball, swing and set-up first.")
        )
    if worn:
        outcome = "regrip" if any("grip" in words for words in worn) else "retest"
        reasons = [*worn, *reasons]
    if bent:
        outcome = "bend back" if bends(club) else "retest"
        reasons = [*bent, *reasons]
        cautions.append(_bending(club))
    if not reasons:
        reasons.append(tell("Nothing measured speaks against it."))
    return Advice(outcome, tuple(reasons), tuple(cautions))


def _bent(club: Club, now: Measured) -> list[str]:
    pairs = (
        (tell("Loft"), club.loft_deg, now.loft_deg),
        (tell("Lie angle"), club.build.lie_angle_deg, now.lie_angle_deg),
    )
    return [
        tell(
            "{name} {got:.1f}°, was {was:.1f}°: {got_2:.1f}° off.",
            name=name,
            got=got,
            was=was,
            got_2=abs(got - was),
        )
        for name, was, got in pairs
        if was is not None and got is not None and abs(got - was) >= BENT_DEG - 1e-9
    ]


def _worn(club: Club, now: Measured) -> list[str]:
    found = []
    if now.grip_state == "worn" or (now.grip_state == "" and (club.grip_age_months or 0.0) >= GRIP_MONTHS):
        found.append(tell("The grip is worn.") if now.grip_state else tell("The grip is old: look at it."))
    if club.kind == "wedge" and (
        now.groove_state == "worn"
        or (now.groove_state == "" and (club.groove_age_months or 0.0) >= GROOVE_MONTHS)
    ):
        found.append(
            tell("The grooves are worn: spin from the rough falls first; hit it against a new one.")
            if now.groove_state
            else tell("The grooves are old: look at them.")
        )
    return found


def bends(club: Club) -> bool:
    """False for heads that mostly cannot be bent: hollow ones, and those on a glued wood hosel."""
    material = (club.construction or "").lower()
    return not ("hollow" in material or "wood" in material or club.kind in ("driver", "wood", "hybrid"))


def _bending(club: Club) -> str:
    material = (club.construction or "").lower()
    if not bends(club):
        return tell(
            "Hollow heads and glued wood hosels mostly cannot be bent (common practice): measure "
            "again, look at the hosel setting, ask the maker."
        )
    if "forged" in material:
        return tell(
            "Forged heads bend about 2 degrees (common practice), within the maker's limits, by the trained."
        )
    if "cast" in material:
        return tell(
            "Cast heads bend less and may crack (common practice): within the maker's limits, by the trained."
        )
    return tell("Ask what the head is made of first: bending can break a hosel and void a warranty.")
