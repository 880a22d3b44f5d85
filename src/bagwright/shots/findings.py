"""What holds for a file as a whole: its unit's grade, an offset of all carries, what the check cannot see."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from bagwright.estimate import percent
from bagwright.shots.device import Device
from bagwright.shots.fit_launch import CARRY_LIMIT
from bagwright.words import join, tell, term

FindingKind = Literal["offset", "unit", "computed", "spin", "adjusted", "not checked"]

OFFSET_LIMIT = 0.06
"""A file whose carries are off by more than this share, over all clubs, is named."""
ENOUGH = 5
"""Judged shots from which a file's offset is named, and from which its unit is."""
IRON_SPIN_RATIO = 0.22
"""Above this spin ratio the flight law rests on few measurements (its data end near 0.3)."""


@dataclass(frozen=True, slots=True)
class FileFinding:
    """Something about a whole file, for a person to look at; nothing is changed for it.

    `offset` is the share by which carries lie above (positive) or below what the launch figures fly, None
    where the finding is not about that; `n` the shots behind it.
    """

    file: str
    kind: FindingKind
    words: str
    offset: float | None
    n: int


_EXPLAINED: tuple[tuple[float, float, str], ...] = (
    (0.88, 0.95, tell("carries in metres under a heading in yards (0.914)")),
    (1.06, 1.13, tell("carries in yards under a heading in metres (1.094)")),
    (0.29, 0.36, tell("carries in yards or metres under a heading in feet")),
    (2.85, 3.45, tell("carries in feet under a heading in yards or metres")),
    (0.0, 0.70, tell("ball speeds in another unit than the heading says")),
    (1.40, 10.0, tell("ball speeds in another unit than the heading says")),
    (0.88, 0.98, tell("range balls (0.88 to 0.98, common practice, no source)")),
    (0.86, 0.97, tell("a head wind or cold air")),
    (1.03, 1.16, tell("thin air, a tail wind, or figures adjusted to other air or another ball")),
    (0.94, 1.16, tell("the flight law itself, for irons and wedges 4 % long to 14 % short")),
)


def offset_finding(file: str, offset: float, n: int, spin_ratio: float) -> FileFinding | None:
    """The finding of an offset (ln measured / flown) beyond OFFSET_LIMIT, with what would explain it.

    `spin_ratio` is the middle one of the shots: below IRON_SPIN_RATIO the flight law is good to 2 % or so and
    is not named among the explanations.
    """
    ratio = math.exp(offset)
    if n < ENOUGH or abs(ratio - 1.0) <= OFFSET_LIMIT:
        return None
    fits = [words for low, high, words in _EXPLAINED if low <= ratio <= high]
    if spin_ratio < IRON_SPIN_RATIO:
        fits = [words for words in fits if not words.startswith("the flight law")]
    said = join("; ", dict.fromkeys(fits)) or tell("no usual slip of units; look at the headings")
    told = {"off": 100 * abs(ratio - 1), "said": said}
    words = (
        tell(
            "All carries are {off:.0f} % longer than their own launch figures fly. It would fit: {said}. "
            "Check the units and conditions of the file.",
            **told,
        )
        if ratio > 1.0
        else tell(
            "All carries are {off:.0f} % shorter than their own launch figures fly. It would fit: {said}. "
            "Check the units and conditions of the file.",
            **told,
        )
    )
    return FileFinding(file, "offset", words, ratio - 1.0, n)


def unit_findings(file: str, device: Device) -> list[FileFinding]:
    """What the scatter says of the unit: its grade, and whether it works carries out from the launch."""
    if device.n < ENOUGH:
        return []
    scatter = tell(
        "Carries scatter {carry_sd:.1f} % around what the launch figures fly", carry_sd=100 * device.carry_sd
    )
    if device.computed:
        words = tell(
            "{scatter}: closer than a measured carry can. The unit works its carries out from "
            "the launch, so this check finds errors of typing, rows and units only, not of the "
            "unit's sensors.",
            scatter=scatter,
        )
        return [FileFinding(file, "computed", words, None, device.n)]
    height = "" if device.apex_sd is None else tell(", heights {apex_sd:.1f} %", apex_sd=100 * device.apex_sd)
    words = tell(
        "{scatter}{height}: most like a {grade} unit of the three grades good, mid and "
        "budget ({percent}). A carry is named from about {carry_limit:.0f} % off.",
        scatter=scatter,
        height=height,
        grade=term(device.grade),
        percent=percent(device.chance),
        carry_limit=100 * CARRY_LIMIT * device.scale,
    )
    return [FileFinding(file, "unit", words, None, device.n)]


def condition_findings(file: str, spin: str, adjusted: str, n: int) -> list[FileFinding]:
    """What estimated spin or adjusted figures take from the check."""
    found = []
    if spin == "estimated":
        words = tell(
            "Spin is estimated, not measured, so carry and launch are held together more "
            "loosely: only gross errors show, and a wrong spin never does."
        )
        found.append(FileFinding(file, "spin", words, None, n))
    if adjusted == "adjusted":
        words = tell(
            "Figures are adjusted to other air or another ball. They are held against standard "
            "air; an offset of the whole file says nothing, and errors of the unit's sensors do "
            "not show."
        )
        found.append(FileFinding(file, "adjusted", words, None, n))
    return found


def unchecked_finding(file: str, judged: int, n: int) -> FileFinding | None:
    """Say how many shots could not be held against their launch; None where all could."""
    if judged == n or not n:
        return None
    words = tell(
        "{missing} of {n} shots were not held against their launch: ball speed, launch angle, "
        "spin or carry is missing or only a lower bound, or the ball barely flew.",
        missing=n - judged,
        n=n,
    )
    return FileFinding(file, "not checked", words, None, n - judged)
