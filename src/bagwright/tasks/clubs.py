"""The bag: distances, limits, what a slot must do, a fair order of balls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from bagwright.bag.club import Player
from bagwright.errors import InputError
from bagwright.tasks.source import (
    Ask,
    Loaded,
    Progress,
    Source,
    fit,
    load,
    load_bag_of,
    reading_doubts,
    shot_paths,
)
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.bag.rules import Check
    from bagwright.dispersion.fit import Dispersions
    from bagwright.distances import DistanceTable, StepRules
    from bagwright.tasks.slotting import SlotPlayed
    from bagwright.tasks.stroking import RoundWish
    from bagwright.trial.brief import Brief
    from bagwright.trial.plan import Plan


def measure_bag(source: Source, step: str | None = None, ask: Ask | None = None) -> DistanceTable:
    """Carries of the bag with ranges, steps, overlaps and gaps."""
    from bagwright.bag.finding import Finding

    loaded = load(source, ask)
    table = measure_loaded(loaded, fit(loaded), step)
    doubts = tuple(Finding("reading", (), words) for words in reading_doubts(loaded))
    return replace(table, findings=(*table.findings, *doubts))


def measure_loaded(loaded: Loaded, fits: Dispersions, step: str | None = None) -> DistanceTable:
    """Distances of shots that are read and fitted already; `step` such as "7-10" is the even step in percent."""
    from bagwright.distances import StepRules, distances

    return distances(fits, loaded.bag, StepRules() if step is None else step_rules_of(step))


def step_rules_of(text: str, usual: StepRules | None = None) -> StepRules:
    """The rules of an even step from "7-10", percent of carry. Raises InputError for anything else."""
    from bagwright.distances import StepRules

    usual = usual or StepRules()
    low, _, high = text.replace("%", "").partition("-")
    try:
        shares = (float(low) / 100.0, float(high) / 100.0)
    except ValueError as error:
        raise InputError(f'--step "{text[:30]}" is not two numbers.', 'Write it like "7-10".') from error
    return replace(usual, even_low=shares[0], even_high=shares[1])


def check_bag(path: Path) -> Check:
    """The club limit and the equipment limits that a bag file lets us know."""
    from bagwright.bag.file import load_bag
    from bagwright.bag.rules import check

    return check(load_bag(path))


def brief_slot(
    source: Source, slot: str, spot_m: float | None = None, ask: Ask | None = None, system: System = "yards"
) -> Brief:
    """What a slot must do, from the bag alone, and the rack ranked by the chance of doing it.

    Without any shot table the carries are estimated from the player and the lofts, and are wide.
    """
    from bagwright.trial.brief import write_brief

    bag = load_bag_of(source)
    if bag is None or not bag.clubs:
        raise InputError("A brief needs the bag.", "Name it with --bag bag.toml.")
    fits = fit(load(source, ask)) if shot_paths(source, bag) else None
    return write_brief(slot, bag, fits, spot_m=spot_m, system=system)


def brief_on_course(
    source: Source,
    slot: str,
    on: RoundWish,
    spot_m: float | None = None,
    ask: Ask | None = None,
    system: System = "yards",
    progress: Progress | None = None,
) -> tuple[Brief, SlotPlayed]:
    """The brief with the lies that the course asks of the slot, and each build in the slot there.

    Raises InputError as `brief_slot`, and for a course, a tee or a wind that cannot be used.
    """
    from bagwright.dispersion.fit import fit_dispersion
    from bagwright.shots.record import ShotTable
    from bagwright.tasks.slotting import asked_lies, play_slot
    from bagwright.trial.brief import write_brief

    bag = load_bag_of(source)
    if bag is None or not bag.clubs:
        raise InputError("A brief needs the bag.", "Name it with --bag bag.toml.")
    hit = shot_paths(source, bag)
    fits = fit(load(source, ask)) if hit else fit_dispersion(ShotTable.of(()), bag.player, bag)
    first = write_brief(slot, bag, fits, spot_m=spot_m, system=system)
    builds = [one.club for one in (*first.candidates, *first.not_worth_hitting)]
    played = play_slot(bag, fits, builds, on, progress)
    lies = asked_lies(first, played)
    return write_brief(slot, bag, fits, spot_m=spot_m, lies=lies, system=system), played


def plan_order(
    *,
    slot: str,
    whole_bag: bool,
    balls: int | None,
    minutes: float | None,
    block: int,
    swings: str | None,
    rules: Sequence[str],
    warm_up: int,
    already_hit: int,
    bag: Path | None,
    age: float | None,
    pain: bool,
) -> Plan:
    """A fair order of balls for a trial or a whole bag."""
    from bagwright.bag.file import load_bag
    from bagwright.trial.plan import plan_trial

    loaded = load_bag(bag) if bag is not None else None
    player = loaded.player if loaded is not None else Player()
    player = replace(player, age=player.age if age is None else age, pain=player.pain or pain)
    if not slot and not whole_bag:
        raise InputError("No slot was named.", 'Name the builds with --slot "A,B", or plan the --whole-bag.')
    return plan_trial(
        slot,
        balls=balls,
        minutes=minutes,
        player=player,
        bag=loaded,
        swings=None if swings is None else [word.strip() for word in swings.split(",") if word.strip()],
        block=block,
        warm_up=warm_up,
        constraints=tuple(rules),
        whole_bag=whole_bag,
        already_hit=already_hit,
    )
