"""Which of a slot's candidates earns it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from bagwright.errors import InputError, ReadError
from bagwright.tasks.source import Ask, Loaded, Progress, Source, fit, load, reading_doubts
from bagwright.units import System
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.dispersion.fit import Dispersions
    from bagwright.tasks.slotting import SlotPlayed
    from bagwright.tasks.stroking import RoundWish
    from bagwright.trial.result import Measure, Verdict


@dataclass(frozen=True, slots=True)
class Wish:
    """What the user asks of a verdict beside the slot; metres, `weights` in metres of miss per unit."""

    by: Measure = "miss"
    spot_m: float | None = None
    width_m: float | None = None
    ratings_file: Path | None = None
    weights: Mapping[str, float] = field(default_factory=dict)
    care: str = "normal"
    aligned: bool = False
    compare: Literal["build", "ball"] = "build"
    system: System = "yards"


@dataclass(frozen=True, slots=True)
class Judged:
    """A verdict with everything it rests on."""

    loaded: Loaded
    fits: Dispersions
    verdict: Verdict


def parse_weights(texts: Sequence[str]) -> dict[str, float]:
    """Turn "rating=2" into {"rating": 2 yards in metres}. Raises InputError for an unknown side or no number."""
    from bagwright.trial.weights import UNITS
    from bagwright.units import M_PER_YD

    found: dict[str, float] = {}
    for text in texts:
        name, _, value = text.partition("=")
        if name.strip() not in UNITS:
            raise InputError(f'--weight "{text[:40]}" weighs nothing known.', f"Use {', '.join(UNITS)}.")
        try:
            found[name.strip()] = float(value) * M_PER_YD
        except ValueError as error:
            raise InputError(f'--weight "{text[:40]}" has no number.', "Write it like rating=2.") from error
    return found


def read_ratings_file(path: Path) -> dict[str, dict[str, float]]:
    """The player's ratings: a TOML table for each build, such as ["50 cavity"] look = 4.

    Raises ReadError when it cannot be read; the values are checked where they are used.
    """
    import tomllib

    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except OSError as error:
        raise ReadError(
            f"{path.name} cannot be opened ({error.strerror}).", "Check the name after --ratings."
        ) from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise ReadError(f"{path.name} is not a TOML file ({error}).", "Correct that line.") from error
    wrong = [name for name, table in data.items() if not isinstance(table, dict)]
    if wrong:
        raise ReadError(
            f'{path.name}: "{wrong[0][:40]}" is no build.', 'Write ["50 cavity"] and below it look = 4.'
        )
    return data


def judge_slot(source: Source, slot: str, wish: Wish, ask: Ask | None = None) -> Judged:
    """Read, fit and judge: which of the slot's candidates earns it."""
    loaded = load(source, ask)
    return judge_loaded(loaded, fit(loaded), slot, wish)


def valued_on_course(
    judged: Judged, on: RoundWish, progress: Progress | None = None
) -> tuple[Verdict, SlotPlayed]:
    """The verdict with the value of further balls in strokes on the course, and the slot played there.

    The sentence on further balls is the course's, in place of the one in metres of miss. Raises InputError
    as `play_slot`.
    """
    from bagwright.tasks.slotting import play_slot

    verdict = judged.verdict
    if judged.loaded.bag is None:
        raise InputError(tell("A course compares builds of the bag."), tell("Name the bag file with --bag."))
    names = list(dict.fromkeys(one.club for one in verdict.candidates))
    played = play_slot(judged.loaded.bag, judged.fits, names, on, progress)
    return replace(verdict, next_sentence=played.next_sentence), played


def judge_loaded(loaded: Loaded, fits: Dispersions, slot: str, wish: Wish) -> Judged:
    """Judge a slot on shots that are read and fitted already."""
    from bagwright.trial.verdict import judge
    from bagwright.trial.weights import Weights

    ratings = read_ratings_file(wish.ratings_file) if wish.ratings_file is not None else None
    weights = Weights(**{f"{name}_m": value for name, value in wish.weights.items()})
    aligned = wish.aligned or any(c.aligned == "checked" for c in loaded.result.conditions.values())
    verdict = judge(
        loaded.table,
        slot,
        loaded.bag,
        fits=fits,
        by=wish.by,
        weights=weights,
        ratings=ratings,
        width_m=wish.width_m,
        spot_m=wish.spot_m,
        careful=wish.care,
        aligned=aligned,
        compare=wish.compare,
        system=wish.system,
        conditions=loaded.result.conditions,
    )
    doubts = reading_doubts(loaded, frozenset(left.index for left in verdict.shots_left_out))
    return Judged(loaded, fits, replace(verdict, cautions=(*verdict.cautions, *doubts)))
