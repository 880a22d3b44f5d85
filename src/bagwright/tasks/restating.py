"""Shots and a bag as they would fly in other air, wind, with another ball, on other turf."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bagwright.errors import InputError
from bagwright.tasks.source import Ask, Loaded, Progress, Source, fit, load, reading_doubts, refuse_same_file
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.air import Air
    from bagwright.restate import Card, Restated, Setting
    from bagwright.shots.record import Conditions


@dataclass(frozen=True, slots=True)
class Words:
    """A setting as far as it was said: only what was said is there, by the field's name in `Setting`."""

    air: Mapping[str, float] | None = None
    """What was said of the air, by the arguments of `bagwright.air.air`; None for nothing."""
    rest: Mapping[str, Any] | None = None
    """wind, ball and turf, each where it was said."""


@dataclass(frozen=True, slots=True)
class RestatedFiles:
    """Shot tables restated, where it was taken from that they were hit `here`, and the card if asked for."""

    loaded: Loaded
    restated: Restated
    here_from: str
    card: Card | None


def restate_files(
    source: Source, here: Words, there: Words, law: str, with_card: bool, ask: Ask | None = None,
    progress: Progress | None = None,
) -> RestatedFiles:  # fmt: skip
    """Read shot tables and restate them. What is not said of `there` is as it was `here`.

    What is not said of `here` is what the tables say of their visits; where they say nothing, the standard.
    Raises QuestionError while a unit is open, InputError for adjusted figures and for visits in different
    airs (restate them one at a time, or say the air).
    """
    from bagwright.restate import card, restate_shots

    loaded = load(source, ask, progress)
    loaded.result.require_answers()
    conditions = loaded.result.conditions
    _refuse_adjusted(conditions)
    was, said = _here(here, conditions)
    will = _changed(was, there)
    restated = restate_shots(loaded.table, was, will, bag=loaded.bag, conditions=conditions, law=law)
    if not restated.changes:
        why = "; ".join(f"{n} {reason}" for reason, n in restated.not_restated.items()) or "it holds no shot"
        raise InputError(
            f"No shot could be restated: {why}.",
            "Restating needs what was measured of the flight, carry at least; launches alone fly with `bagwright fly --in`.",
        )
    shown = None
    if with_card:
        shown = card(
            fit(loaded), loaded.table, loaded.bag, was, conditions=conditions, law=law, level=restated.level
        )
    return RestatedFiles(loaded, restated, said, shown)


def _refuse_adjusted(conditions: Mapping[str, Conditions]) -> None:
    names = [visit for visit, one in conditions.items() if one.adjusted == "adjusted"]
    if names:
        raise InputError(
            f"The figures of {', '.join(names[:3])} were adjusted by the unit: they are never restated twice.",
            "Take the visit as measured from the unit; or, if you know the air that the unit adjusted to, name it with "
            '--from and say --answer "figures=as measured".',
        )


def _here(words: Words, conditions: Mapping[str, Conditions]) -> tuple[Setting, str]:
    """Where the shots were hit, and in words where that was taken from."""
    from bagwright.air import STANDARD, air
    from bagwright.restate import Setting
    from bagwright.trial.said import air_in_words

    rest = dict(words.rest or {})
    said = []
    if "ball" not in rest and any("range" in one.ball.lower() for one in conditions.values()):
        rest["ball"] = "range"
        said.append("range balls, as the table says")
    if words.air is not None:
        return Setting(air=air(**words.air), **rest), ", ".join(["the air as you said", *said])
    airs = {found for one in conditions.values() if (found := air_in_words(one.air)) is not None}
    if len(airs) > 1:
        raise InputError(
            "The tables' visits were hit in different airs.",
            "Restate them one at a time, or say the air with --from temperature=...",
        )
    if airs:
        return Setting(air=airs.pop(), **rest), ", ".join(["the air as the table says", *said])
    return Setting(air=STANDARD, **rest), ", ".join(["standard air, as nothing was said of it", *said])


def _changed(was: Setting, words: Words) -> Setting:
    from dataclasses import replace

    changed = dict(words.rest or {})
    if words.air is not None:
        changed["air"] = _air_there(was.air, words.air)
    return replace(was, **changed)


def _air_there(was: Air, said: Mapping[str, float]) -> Air:
    """The air there: what is not said of it stays as it is here. A density said stands for itself."""
    from bagwright.air import air

    if "density_kg_m3" in said:
        return air(**said)
    kept = {"temperature_k": was.temperature_k, "humidity": was.humidity, "pressure_pa": was.pressure_pa}
    if "altitude_m" in said:
        kept.pop("pressure_pa")
    return air(**{**{name: value for name, value in kept.items() if value is not None}, **said})


def write_restated(found: RestatedFiles, path: Path, system: System) -> None:
    """Write the restated shots as a table under our own headings. Raises MachineError."""
    from bagwright.files import write_whole
    from bagwright.restate.words import air_in_words
    from bagwright.shots.write import shots_as_csv

    refuse_same_file(path, found.loaded.paths)
    there = found.restated.there
    above = [
        f"Air: {air_in_words(there.air).replace(',', ';')}",
        f"Ball: {there.ball} ball",
        "Figures: as measured",
    ]
    if there.wind.speed_mps > 0.0:
        above.append(f"Restated to a wind of {there.wind.speed_mps:.1f} m/s; say it again with --from")
    text = "\r\n".join([*above, shots_as_csv(found.restated.table, system)])
    write_whole(path, text.encode())


def restated_account(found: RestatedFiles, out: Path | None) -> dict[str, object]:
    """What restating changed, for a JSON document."""
    restated = found.restated
    return {
        "shots": restated.table.n,
        "changes": restated.changes,
        "level": restated.level,
        "not_restated": restated.not_restated,
        "inferred": restated.inferred,
        "here": restated.here,
        "here_from": found.here_from,
        "there": restated.there,
        "said": (*restated.said, *reading_doubts(found.loaded)),
        "card": found.card,
        "files": [] if out is None else [out],
    }
