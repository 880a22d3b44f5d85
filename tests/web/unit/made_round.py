"""A round's answer made by hand, for tests of pages: nothing of it was worked out."""

from __future__ import annotations

import numpy as np

from bagwright.bay import courses, round_inputs
from bagwright.bay.round_inputs import Asked
from bagwright.course.lies import Lie
from bagwright.course.raster import Raster
from bagwright.report.strokes.plan import Step
from bagwright.report.strokes.round import Round
from bagwright.store.models import CourseFile, Player, StrokesRun
from bagwright.strokes.patterns import Shot
from bagwright.strokes.result import Demand, HoleStrokes, Strokes

SHOTS = (Shot("8 iron", "stock"), Shot("Sand wedge", "stock", 18.0))


def made_hole(raster: Raster, strokes: float = 3.21) -> HoleStrokes:
    """One hole whose value grows by a stroke for every 100 m from the pin."""
    x, y = raster.centres()
    value = 2.0 + np.hypot(x[:, None] - raster.pin_m[0], y[None, :] - raster.pin_m[1]) / 100.0
    lost = np.isin(raster.lie, (int(Lie.WATER), int(Lie.WATER_RED), int(Lie.OUT)))
    nothing = lost | (raster.lie == int(Lie.GREEN))
    return HoleStrokes(
        number=raster.number, par=raster.par, stroke_index=raster.stroke_index, tee=raster.tee,
        length_m=raster.length_m, tee_m=raster.tee_m, pin_m=raster.pin_m, corner_m=(raster.x0_m, raster.y0_m),
        cell_m=raster.cell_m, strokes=strokes, sd=0.7, rounds=1000, error_bound=0.004, residual=0.001,
        change=1e-5, converged=True, sweeps=3, cells=int(raster.lie.size), seconds=0.5, first=(0, 0.02),
        demand=(Demand(0, int(Lie.TEE), 90.0, 180.0, 1.0), Demand(1, int(Lie.ROUGH), 0.0, 40.0, 0.6)),
        value=np.where(lost, np.nan, value).astype(np.float32),
        shot=np.where(nothing, -1, 0).astype(np.int16),
        aim=np.where(nothing, np.nan, 0.0).astype(np.float32),
    )  # fmt: skip


def made_round(kept: CourseFile, tee: str, strokes: float = 3.21) -> Round:
    """A round over all holes of a course."""
    known = courses.understood(kept)
    rasters = [known.raster(hole.number, tee) for hole in known.course.holes]
    result = Strokes(tuple(made_hole(raster, strokes) for raster in rasters), SHOTS, ("made up",), 1.0)
    steps = {
        raster.number: (
            Step(
                raster.tee_m, int(Lie.TEE), 0, "8 iron", "8 iron", 0.02, raster.pin_m, int(Lie.GREEN),
                raster.length_m, 0.0, 2.7, strokes,
            ),
        )
        for raster in rasters
    }  # fmt: skip
    return Round(result, steps, sum(raster.par for raster in rasters))


def kept_run(player: Player, kept: CourseFile, tee: str = "white", wind_mps: float = 0.0) -> StrokesRun:
    """A run that is done, with the inputs of now."""
    asked = Asked(player, kept, tee, wind_mps)
    found = made_round(kept, tee)
    return StrokesRun.objects.create(
        player=player, course=kept, tee=tee, wind_mps=wind_mps or None, wind_from_rad=0.0 if wind_mps else None,
        inputs=round_inputs.inputs_of(asked).mark, state="done", share=1.0, result=found.plain(), arrays=found.arrays(),
    )  # fmt: skip
