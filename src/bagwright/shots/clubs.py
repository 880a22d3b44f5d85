"""From the names in a table to the names of builds; builds never merge."""

from __future__ import annotations

from collections.abc import Sequence

from bagwright.bag.club import Bag, Club
from bagwright.bag.names import match_club, parse_club_name
from bagwright.shots.asking import Asker
from bagwright.shots.texts import clean
from bagwright.shots.words import BUILD_COLUMNS, MISSING
from bagwright.words import plain, tell

NO_CLUB = tell("none of these")
Spelled = tuple[str, tuple[str, ...]]
"""A name as written, with the cells of the build's columns beside it, in the order of BUILD_COLUMNS."""


class ClubNames:
    """Maps spellings to builds; notes which names are no known club."""

    def __init__(self, bag: Bag | None, asker: Asker) -> None:
        self.bag = bag
        self.asker = asker
        self.unknown: set[str] = set()

    def labels(self, spelled: Sequence[Spelled], file_of: dict[Spelled, str]) -> dict[Spelled, str]:
        """Return the name of the build for each spelling.

        Where one name stands with different cells in the build's columns (setting, shaft, loft, ...), each
        becomes a build of its own: "driver, setting +1". A club of the bag found by its setting needs no such
        addition.
        """
        found = {one: self._base(one, file_of[one]) for one in spelled}
        labels: dict[Spelled, str] = {}
        # One pass: a hostile file may hold as many names as rows.
        groups: dict[str, dict[Spelled, bool]] = {}
        for one, (name, settled) in found.items():
            groups.setdefault(name, {})[one] = settled
        for base, group in groups.items():
            differing = _differing(list(group), settled=all(group.values()))
            for one in group:
                labels[one] = _labelled(base, one[1], differing)
        for one, label in labels.items():
            base = found[one][0]
            if base in self.unknown and label != base:
                self.unknown.add(label)
        return labels

    def _base(self, one: Spelled, file: str) -> tuple[str, bool]:
        """Return a build's name before settings are added, and whether the bag settled the setting."""
        text = clean(one[0])
        told = next(
            (v for k, v in self.asker.answers.clubs.items() if clean(k).casefold() == text.casefold()), None
        )
        if told is not None:
            name = clean(told)
            known = (self.bag is not None and self.bag.find(name) is not None) or _canonical(name) is not None
            return (name if known else self._unknown(name)), False
        if self.bag is not None and text:
            return self._of_bag(text, one[1], self.bag, file)
        label = _canonical(text)
        return (label if label is not None else self._unknown(text)), False

    def _unknown(self, name: str) -> str:
        self.unknown.add(name)
        return name

    def _of_bag(self, text: str, cells: tuple[str, ...], bag: Bag, file: str) -> tuple[str, bool]:
        exact = bag.find(text)
        setting = clean(cells[BUILD_COLUMNS.index("setting")])
        match = match_club(text, bag, setting)
        if match.club is not None:
            known = bool(setting) or match.club.build.hosel_setting is not None
            return match.club.name, known and not match.setting_open
        if exact is not None and setting and len(match.candidates) <= 1:
            return self._unknown(f"{exact.name}, setting {setting}"), True
        fitting = [club for club in match.candidates if _fits(club, cells)]
        if len(fitting) == 1 and not setting:
            return fitting[0].name, False
        if len(match.candidates) == 1:
            return self._unknown(f"{match.candidates[0].name}, setting {setting}"), True
        if match.candidates:
            return self._asked(text, setting, match.candidates, file)
        return self._unknown(_canonical(text) or text), False

    def _asked(self, text: str, setting: str, candidates: tuple[Club, ...], file: str) -> tuple[str, bool]:
        options = (*(club.name for club in candidates), NO_CLUB)
        said = f'"{text}"' + (tell(" with setting {setting}", setting=setting) if setting else "")
        answer = self.asker.ask(
            f"club {plain(said)}",
            file,
            tell("Which build is {said}? Several builds of the bag fit.", said=said),
            options,
            needed=True,
        )
        if answer is None or answer == NO_CLUB:
            return self._unknown(text), False
        return answer, bool(setting)


def _canonical(text: str) -> str | None:
    """Return the one spelling of a club's name; our own label with a setting stays as it is."""
    parsed = parse_club_name(text)
    if parsed is not None:
        return parsed.label
    head, comma, _ = text.partition(",")
    named = parse_club_name(head) if comma else None
    return text if named is not None and named.label == head else None


def _fits(club: Club, cells: tuple[str, ...]) -> bool:
    """Tell whether every cell of the row that this build can be compared with agrees, and one does."""
    build = club.build
    compared = 0
    own: dict[str, str | None] = {
        "head": build.head, "shaft": build.shaft, "flex": build.shaft_flex, "grip": build.grip,
        "swing_weight": build.swing_weight,
    }  # fmt: skip
    for name, cell in zip(BUILD_COLUMNS, cells, strict=True):
        text = clean(cell).casefold()
        if text in MISSING:
            continue
        if name == "loft" and club.loft_deg is not None:
            try:
                agrees = abs(float(text.rstrip("°").replace(",", ".")) - club.loft_deg) <= 0.5
            except ValueError:
                return False
        else:
            mine = own.get(name)
            if mine is None:
                continue
            agrees = clean(mine).casefold() == text
        if not agrees:
            return False
        compared += 1
    return compared > 0


def _differing(group: list[Spelled], *, settled: bool) -> list[int]:
    """Places of the build's columns in which the rows of one name differ."""
    places = []
    for i, name in enumerate(BUILD_COLUMNS):
        if settled and name == "setting":
            continue
        if len({clean(cells[i]).casefold() for _, cells in group}) > 1:
            places.append(i)
    return places


def _labelled(base: str, cells: tuple[str, ...], differing: list[int]) -> str:
    parts = [base]
    for i in differing:
        cell = clean(cells[i], 60)
        if cell and cell.casefold() not in MISSING:
            parts.append(f"{BUILD_COLUMNS[i].replace('_', ' ')} {cell}")
    return ", ".join(parts)
