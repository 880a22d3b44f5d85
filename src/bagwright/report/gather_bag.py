"""From a bag, its check and its distances to the lines that the papers show."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from bagwright.bag.club import Bag, Club, Player
from bagwright.estimate import percent
from bagwright.report.model import BagRow, BuildClub, BuildField, CarryRow, PlayerLine, StepLine
from bagwright.report.words import NB, number, plain_degrees
from bagwright.units import M_PER_IN, System
from bagwright.words import join, tell, term, term_of

if TYPE_CHECKING:
    from bagwright.bag.rules import Check
    from bagwright.distances.table import ClubDistance, DistanceTable, Step

ADULT = 18.0
_SHOWN_LIMITS = ("breach", "own limit", "note")

_FIELD_NAMES = {
    "head": tell("head"),
    "loft_deg": tell("loft"),
    "hosel_setting": tell("hosel setting"),
    "lie_angle_deg": tell("lie angle"),
    "length_m": tell("length"),
    "shaft": tell("shaft"),
    "shaft_weight_g": tell("shaft weight"),
    "shaft_flex": tell("shaft flex"),
    "swing_weight": tell("swing weight"),
    "grip": tell("grip"),
    "bounce_deg": tell("bounce"),
    "sole": tell("sole"),
}
"""Fields of a build as the workshop calls them, in the order of the sheet."""

_UNITS = {"deg": "°", "in": f"{NB}in", "cm": f"{NB}cm", "g": f"{NB}g", "m": f"{NB}m"}


def player_line(player: Player) -> PlayerLine:
    """Who the papers are for."""
    return PlayerLine(
        name=player.name,
        hand=player.hand,
        handicap=player.handicap,
        goals=player.goals or "",
        injury=player.injury or "",
        pain=player.pain,
        under_18=player.age is not None and player.age < ADULT,
        seller_interest=player.seller_interest or "",
        currency=player.currency,
    )


def carry_rows(table: DistanceTable) -> tuple[CarryRow, ...]:
    """One row for each club and swing of the distances."""
    return tuple(row for club in table.clubs for row in _club_rows(club))


def _club_rows(club: ClubDistance) -> list[CarryRow]:
    hit = club.used == "measured"
    stock = CarryRow(
        club=club.club,
        kind=club.kind,
        loft_deg=club.loft_deg,
        status=club.status,
        measured=hit,
        n_shots=club.n_shots,
        carry_m=club.carry_m,
        total_m=club.total_m,
        offline_m=club.offline_m,
        right_probability=club.right_probability if hit else None,
        mishit_share=club.mishit_share if hit else None,
        apex_m=club.apex_m,
        descent_rad=club.descent_rad,
    )
    others = [
        CarryRow(
            club=club.club,
            swing=swing.swing,
            kind=club.kind,
            loft_deg=club.loft_deg,
            status=club.status,
            measured=swing.used == "measured",
            n_shots=swing.n_shots,
            carry_m=swing.carry_m,
        )
        for swing in club.swings
    ]
    return [stock, *others]


def step_lines(table: DistanceTable) -> tuple[StepLine, ...]:
    """Give the steps with the word for each and the chance that the word holds."""
    return tuple(
        StepLine(step.longer, step.shorter, step.step_m, _step_word(step), _step_chance(step))
        for step in table.steps
    )


def _step_word(step: Step) -> str:
    if step.word == "narrow":
        return tell("narrow; that it is an overlap: {percent}", percent=percent(step.p_overlap))
    if step.word == "wide":
        return tell("wide; that it is a gap: {percent}", percent=percent(step.p_gap))
    if step.filled_by is None:
        return term(step.word)
    club, swing, _, used = step.filled_by
    hit = "" if used == "measured" else tell(", not hit yet")
    return tell(
        "{word}; the {club} {swing} fills it{hit}",
        word=term(step.word),
        club=club,
        swing=term(swing),
        hit=hit,
    )


def _step_chance(step: Step) -> float | None:
    if step.word in ("narrow", "wide"):
        return None
    if step.word == "gap":
        return step.p_gap
    if step.word in ("overlap", "same carry"):
        return step.p_overlap
    return max(0.0, 1.0 - step.p_gap - step.p_overlap)


def limit_lines(check: Check, system: System) -> tuple[str, ...]:
    """Give what the check of the bag found, its verdict first."""
    verdict = (
        tell("The bag keeps the limits that were checked.")
        if check.within_limits
        else tell("The bag breaks a limit that was checked.")
    )
    return (
        verdict,
        *(found.in_system(system).words for found in check.findings if found.kind in _SHOWN_LIMITS),
    )


def bag_rows(bag: Bag) -> tuple[BagRow, ...]:
    """Give the bag list: carried clubs first, then candidates and spares."""
    order = {"carried": 0, "candidate": 1, "spare": 2}
    shown = sorted((club for club in bag if club.status in order), key=lambda club: order[club.status])
    return tuple(_bag_row(club) for club in shown)


def _bag_row(club: Club) -> BagRow:
    build = club.build
    weight = (
        tell("{number}\u00a0g", number=number(build.shaft_weight_g))
        if build.shaft_weight_g is not None
        else ""
    )
    return BagRow(
        name=club.name,
        kind=club.kind,
        status=club.status,
        loft_deg=build.loft_deg,
        stamped_loft_deg=club.stamped_loft_deg,
        length_m=build.length_m,
        lie_angle_deg=build.lie_angle_deg,
        shaft=join(", ", (part for part in (build.shaft or "", weight, build.shaft_flex or "") if part)),
        grip=build.grip or "",
        swing_weight=build.swing_weight or "",
        bounce_deg=club.bounce_deg,
        sole=club.sole or "",
        groove_age_months=club.groove_age_months,
        note=club.note or "",
    )


def build_text(club: Club) -> str:
    """Give a build in one line, as far as it was measured: "50° measured, 35.50 in, lie angle 64°"."""
    build = club.build
    parts = [build.head or ""]
    if build.loft_deg is not None:
        parts.append(tell("{loft} measured", loft=plain_degrees(build.loft_deg)))
    elif club.stamped_loft_deg is not None:
        parts.append(tell("{loft} stamped", loft=plain_degrees(club.stamped_loft_deg)))
    for field in ("hosel_setting", "length_m", "lie_angle_deg", "shaft", "shaft_weight_g", "shaft_flex"):
        text = present_value(club, field)
        if text:
            parts.append(
                tell("{field} {text}", field=_FIELD_NAMES[field], text=text)
                if field in ("lie_angle_deg", "hosel_setting")
                else text
            )
    return join(", ", (part for part in parts if part))


def present_value(club: Club, field: str) -> str:
    """Give a field of a build as text with its unit, "" where it was not measured."""
    value = getattr(club.build, field, None) if hasattr(club.build, field) else getattr(club, field)
    if value is None:
        return ""
    if field == "length_m":
        return tell(
            "{inches}\u00a0in ({cm}\u00a0cm)",
            inches=number(value / M_PER_IN, 2),
            cm=number(100 * value, 1),
        )
    if field.endswith("_deg"):
        return plain_degrees(value)
    if field.endswith("_g"):
        return tell("{number}\u00a0g", number=number(value))
    return term_of(str(value), "sole") if field == "sole" else str(value)


def build_clubs(bag: Bag, chosen: str | None) -> tuple[BuildClub, ...]:
    """Give a sheet for the candidate that was chosen and for every club with a proposed change.

    A chosen candidate is built as it was tested, but for its proposed changes; a present club that is kept
    needs no sheet.
    """
    wanted = [
        club
        for club in bag
        if (club.proposed and club.status in ("carried", "spare"))
        or (club.name == chosen and (club.status == "candidate" or club.proposed))
    ]
    return tuple(_build_club(club) for club in wanted)


def _build_club(club: Club) -> BuildClub:
    changes = {_field_of(name): (name, value, reason) for name, value, reason in club.proposed}
    fields = []
    for field, name in _FIELD_NAMES.items():
        present = present_value(club, field)
        _, value, reason = changes.get(field, ("", "", ""))
        proposed = _with_unit(*changes[field][:2]) if value else ""
        if present or proposed:
            fields.append(BuildField(name, present, proposed, reason))
    known = set(_FIELD_NAMES)
    for field, (key, value, reason) in changes.items():
        if field not in known:
            fields.append(BuildField(term(key.replace("_", " ")), "", value, reason))
    new = club.status == "candidate"
    return BuildClub(
        club=club.name,
        kind=club.kind,
        starting_from=(
            tell("A new club, to be built as the tested one. Present: what was measured on the tested club.")
            if new
            else tell("The player's own club. Present: what was measured on it.")
        ),
        construction=club.construction or "",
        loft_deg=club.loft_deg,
        bounce_deg=club.bounce_deg,
        proposed_loft_deg=_proposed_loft(changes),
        fields=tuple(fields),
        note=club.note or "",
    )


def _field_of(name: str) -> str:
    """Give the build's field for a key of the bag file, whatever unit the key carries."""
    stem, _, unit = name.rpartition("_")
    if unit in ("in", "cm", "m") and stem == "length":
        return "length_m"
    return name


def _with_unit(name: str, value: str) -> str:
    unit = _UNITS.get(name.rpartition("_")[2], "")
    plain = value.strip().replace("−", "-").replace(",", ".", 1)
    return f"{value.strip()}{unit}" if unit and _is_number(plain) else value.strip()


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _proposed_loft(changes: dict[str, tuple[str, str, str]]) -> float | None:
    if "loft_deg" not in changes:
        return None
    text = changes["loft_deg"][1].strip().rstrip("°").replace(",", ".")
    return float(text) if _is_number(text) else None


def clubs_named(bag: Bag | None, names: Sequence[str]) -> dict[str, Club]:
    """Give the clubs of the bag with these names."""
    return {club.name: club for club in bag or () if club.name in names}
