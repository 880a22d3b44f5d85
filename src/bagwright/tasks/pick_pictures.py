"""Pictures of a pick: what each club is worth, bags side by side, carries before and after."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from bagwright.estimate import Z90
from bagwright.tasks.picking import Made, PickAnswer, made_of
from bagwright.units import System
from bagwright.words import tell

if TYPE_CHECKING:
    from bagwright.report.charts.render import Chart
    from bagwright.report.pick import Reach


def draw_pick(answer: PickAnswer, folder: Path, system: System, language: str = "en") -> PickAnswer:
    """Write worth.svg, bags.svg and reach.svg to a folder. Raises MachineError where that cannot be."""
    from bagwright.files import write_whole
    from bagwright.report.charts.render import chart_in, to_svg

    written = [
        write_whole(folder / f"{chart.name}.svg", to_svg(chart_in(chart, language)).encode())
        for chart in pick_charts(answer, system)
    ]
    return replace(answer, files=(*answer.files, *written))


def pick_charts(answer: PickAnswer, system: System) -> tuple[Chart, ...]:
    """The three pictures of a pick."""
    from bagwright.report.pick import BagColumn, bags_chart, reach_chart, worth_chart
    from bagwright.report.words import Show

    made = made_of(answer)
    picked = frozenset(made.problem.names(made.proof.best))
    columns = [BagColumn(tell("today"), frozenset(made.wish.today)), BagColumn(tell("picked"), picked)]
    columns += [BagColumn(one.scene, frozenset(one.clubs)) for one in answer.swaps]
    reaches = reach_of(made, picked)
    return (
        worth_chart(answer.worth),
        bags_chart(made.problem.clubs, columns),
        reach_chart(reaches, Show(system)),
    )


def reach_of(made: Made, picked: frozenset[str]) -> list[Reach]:
    """Carries of stock swings from a fairway (a driver's from a tee), and what 9 of 10 solid balls carry."""
    from bagwright.course.lies import Lie
    from bagwright.report.pick import Reach

    found, table = [], made.table
    drivers = {club.name for club in made.bag.clubs if club.kind == "driver"}
    for club in made.problem.clubs:
        at = next(
            (
                i
                for i, shot in enumerate(table.shots)
                if shot.club == club and shot.swing == "stock" and shot.length_m is None
            ),
            None,
        )
        if at is None:
            continue
        parts = table.parts[int(Lie.TEE if club in drivers else Lie.FAIRWAY), at, :-1]
        weight = parts[:, 0] / parts[:, 0].sum()
        mean = float(weight @ parts[:, 1])
        sd = math.sqrt(float(weight @ (parts[:, 3] ** 2 + (parts[:, 1] - mean) ** 2)))
        found.append(
            Reach(club, mean, mean - Z90 * sd, mean + Z90 * sd, club in made.wish.today, club in picked)
        )
    return found
