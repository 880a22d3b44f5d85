"""The launch of every shot of a table: as measured, and inferred from its flight where it was not."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from bagwright.flight.prior import KINDS
from bagwright.restate.measured import measured
from bagwright.restate.setting import Setting

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.bag.club import Bag
    from bagwright.flight.launch import Launches, Scale
    from bagwright.shots.record import ShotTable

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

STRIKE = ("ball_speed_mps", "launch_rad", "spin_rpm")
_INFERRED_FROM = ("carry_m", "apex_m", "descent_rad", "time_s", "club_speed_mps", *STRIKE)


@dataclass(frozen=True, slots=True, eq=False)
class Strikes:
    """Launches of n shots; `inferred` (n,) marks those of which a part was not measured."""

    launches: Launches
    inferred: Bools


def measured_launches(table: ShotTable) -> Launches:
    """The launches that were measured, NaN where not; straight and without curve where neither is given.

    Figures that no golf shot has count as not measured.
    """
    from bagwright.shots.strikes import launches_of, strikes_of

    return launches_of(strikes_of(table, lambda name: measured(table, name)))


def with_inferred(
    table: ShotTable, known: Launches, rows: Bools, here: Setting, scale: Scale, bag: Bag | None
) -> Strikes:
    """Fill what lacks of the launches of `rows` (n,) from how far and high those shots flew.

    What was measured stays. NaN where no launch explains a shot. `scale` holds arrays (n,).
    """
    import numpy as np

    if not rows.any():
        return Strikes(known, rows)
    from bagwright.flight.infer_many import infer_many
    from bagwright.flight.launch import Scale

    columns, kinds = _seen(table, known, rows, here, bag)
    found = infer_many(columns, kinds, here.air, here.wind, Scale(scale.drag[rows], scale.lift[rows]))
    filled = {}
    for name in STRIKE:
        column = getattr(known, name).copy()
        part = column[rows]
        column[rows] = np.where(np.isnan(part) & found.settled, found.value[name], part)
        filled[name] = column
    return Strikes(replace(known, **filled), rows & replace(known, **filled).known())


def _seen(
    table: ShotTable, known: Launches, rows: Bools, here: Setting, bag: Bag | None
) -> tuple[dict[str, Floats], list[str | None]]:
    """What the inference is told of `rows`: figures outside what a golf shot has are not told."""
    import math

    import numpy as np

    from bagwright.flight.seen import RANGES

    columns: dict[str, Floats] = {}
    for name in _INFERRED_FROM:
        column = (getattr(known, name) if name in STRIKE else measured(table, name))[rows]
        if name == "carry_m":
            column = column / here.ball_factor
        low, high, _ = RANGES[name]
        columns[name] = np.where((column >= low) & (column <= high), column, np.nan)
    names = np.asarray(table.text("club"), dtype=object)[rows]
    about = {str(name): _club(str(name), bag) for name in set(names.tolist())}
    lofts = [about[str(name)][1] for name in names]
    columns["loft_rad"] = np.array([np.nan if loft is None else math.radians(loft) for loft in lofts])
    return columns, [about[str(name)][0] for name in names]


def _club(name: str, bag: Bag | None) -> tuple[str | None, float | None]:
    """Kind and loft in degrees of a club by its name, None where not known."""
    kind, loft = kind_of(name, bag), None
    club = bag.find(name) if bag is not None else None
    if club is not None and club.loft_deg is not None and 2.0 <= club.loft_deg <= 75.0:
        loft = club.loft_deg
    return (kind, loft) if kind in KINDS else (None, None)


def kind_of(name: str, bag: Bag | None) -> str | None:
    """The kind of a club: the bag's, else what its name says, else None."""
    from bagwright.bag.spelling import parse_club_name

    club = bag.find(name) if bag is not None else None
    if club is not None:
        return club.kind
    parsed = parse_club_name(name)
    return parsed.kind if parsed is not None else None
