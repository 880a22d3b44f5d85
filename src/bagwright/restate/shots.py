"""A table of shots restated: the same strikes there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from bagwright.errors import InputError
from bagwright.restate.landing import FIGURES, Landing, figures_there, landing
from bagwright.restate.levels import level_of, scales
from bagwright.restate.measured import measured
from bagwright.restate.restated import Restated
from bagwright.restate.setting import Setting
from bagwright.restate.strikes import STRIKE, Strikes, kind_of, measured_launches, with_inferred

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from bagwright.bag.club import Bag
    from bagwright.flight.launch import Launches, Scale
    from bagwright.flight.level import Level
    from bagwright.shots.record import Conditions, ShotTable

    Floats = NDArray[np.float64]
    Bools = NDArray[np.bool_]

NOTHING_FLEW = "nothing of its flight was measured"
A_PUTT = "a putt"
TOO_LITTLE = "neither a full launch nor a carry was measured"
UNEXPLAINED = "no launch explains its figures"
NO_LAUNCH = "a launch that no club gives"
TOO_SHORT = "a flight of less than 1 m"


def restate_shots(
    table: ShotTable,
    here: Setting,
    there: Setting,
    *,
    bag: Bag | None = None,
    conditions: Mapping[str, Conditions] | None = None,
    law: str = "D1",
    level: Level | None = None,
) -> Restated:
    """Give shots that were hit `here` as the same strikes would have flown `there`.

    Each measured figure changes by what its own launch flies there and here under `law`, its drag and lift
    scaled to the player's own measured shots (`level`, fitted here unless given). A launch that was not
    measured is inferred from carry, height, descent and time, with the club's kind and loft from `bag` or
    its name. `conditions` (by visit) tells which visits' spin was estimated: it never sets the level.

    Raises InputError where the conditions say that a visit's figures were adjusted by the unit (they are
    no longer those of `here`) and for what is no setting, table or law.
    """
    _refuse_setting("there", there)
    ready = prepared(table, here, bag, conditions, law, level)
    flown = _fly(ready, here, there, law)
    return _restated(table, (here, there), ready, flown, dict(conditions or {}), law)


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """A table whose strikes can be flown: launches, level, factors a shot, and why some rows cannot.

    `reasons` holds rows (n,) by words; `guessed` the rows whose spin the unit estimated.
    """

    strikes: Strikes
    level: Level
    scale: Scale
    reasons: dict[str, Bools]
    guessed: Bools

    @property
    def out(self) -> Bools:
        """Rows (n,) that cannot be restated."""
        import numpy as np

        return np.asarray(np.any(list(self.reasons.values()), axis=0))


def prepared(
    table: ShotTable, here: Setting, bag: Bag | None, conditions: Mapping[str, Conditions] | None, law: str,
    level: Level | None,
) -> Prepared:  # fmt: skip
    """Make a table's strikes ready to be flown anywhere. Errors as `restate_shots`."""
    import numpy as np

    from bagwright.flight.level import Level

    told = dict(conditions or {})
    _refuse_setting("here", here)
    _refuse_table(table, told)
    if level is not None and not isinstance(level, Level):
        raise InputError(f"restate: level is no level but {str(level)[:40]!r}.", "Give a Level or None.")
    known = measured_launches(table)
    found = level if level is not None else level_of(table, known, here, told, law)
    scale = scales(found, table)
    reasons: dict[str, Bools] = {}
    lacks = _lacking(table, known, bag, reasons)
    strikes = with_inferred(table, known, lacks, here, scale, bag)
    out = np.any(list(reasons.values()), axis=0)
    full, sensible = strikes.launches.known(), strikes.launches.sensible()
    reasons[UNEXPLAINED] = lacks & ~full & ~out
    reasons[NO_LAUNCH] = full & ~sensible & ~out
    estimated = {visit for visit, one in told.items() if one.spin == "estimated"}
    guessed = np.array([visit in estimated for visit in table.text("visit")], dtype=np.bool_)
    return Prepared(strikes, found, scale, reasons, guessed)


def _refuse_setting(name: str, value: object) -> None:
    if not isinstance(value, Setting):
        raise InputError(f"restate: {name} is no setting but {str(value)[:40]!r}.", "Give a Setting.")


def _refuse_table(table: object, told: Mapping[str, Conditions]) -> None:
    from bagwright.shots.record import ShotTable

    if not isinstance(table, ShotTable):
        raise InputError(f"restate: {type(table).__name__} is no table of shots.", "Give a ShotTable.")
    present = set(table.text("visit"))
    adjusted = sorted(v for v, one in told.items() if v in present and one.adjusted == "adjusted")
    if adjusted:
        names = ", ".join(repr(visit[:40]) for visit in adjusted[:3])
        raise InputError(
            f"restate: the figures of visit {names} were adjusted by the unit: figures already adjusted are "
            "never restated twice.",
            "Export the visit as measured; or give, as `here`, the setting that the unit adjusted to and "
            'conditions with adjusted = "as measured", as these figures are those of that setting.',
        )


def _lacking(table: ShotTable, known: Launches, bag: Bag | None, reasons: dict[str, Bools]) -> Bools:
    """Which rows (n,) need an inferred launch; rows that cannot be restated go into `reasons`."""
    import numpy as np

    names = table.text("club")
    putters = {name for name in set(names) if kind_of(name, bag) == "putter"}
    putt = np.array([name in putters for name in names], dtype=np.bool_)
    flew = np.zeros(table.n, dtype=np.bool_)
    for name in FIGURES:
        flew |= np.isfinite(measured(table, name))
    carry = measured(table, "carry_m") > 0.0
    whole = known.known()
    reasons[A_PUTT] = putt
    reasons[NOTHING_FLEW] = ~flew & ~putt
    reasons[TOO_LITTLE] = flew & ~whole & ~carry & ~putt
    return ~whole & carry & ~putt


@dataclass(frozen=True, slots=True, eq=False)
class _Both:
    here: Landing
    there: Landing


def _fly(ready: Prepared, here: Setting, there: Setting, law: str) -> _Both:
    """Fly what can be flown in both settings; what hardly flies joins the reasons."""
    import numpy as np

    out, launches = ready.out, ready.strikes.launches
    fit = launches.sensible() & ~out
    flying = replace(launches, ball_speed_mps=np.where(fit, launches.ball_speed_mps, np.nan))
    both = _Both(landing(flying, here, law, ready.scale), landing(flying, there, law, ready.scale))
    ready.reasons[TOO_SHORT] = ~out & ~(both.here.flew & both.there.flew)
    return both


def _restated(
    table: ShotTable, settings: tuple[Setting, Setting], ready: Prepared, flown: _Both,
    told: Mapping[str, Conditions], law: str,
) -> Restated:  # fmt: skip
    import numpy as np

    from bagwright.restate.changes import changes
    from bagwright.restate.words import conditions_there, say

    here, there = settings
    out = ready.out
    measures = {name: column.copy() for name, column in table.measures.items()}
    for name, column in figures_there(table, flown.here, flown.there).items():
        measures[name] = np.where(out, np.nan, column)
    inferred = ready.strikes.inferred & ~out
    if inferred.any():
        _fill_in(measures, table, ready.strikes.launches, inferred)
    new = replace(table, measures=_in_order(measures))
    counts = {words: int(rows.sum()) for words, rows in ready.reasons.items() if rows.any()}
    n_inferred = int(inferred.sum())
    guessed = inferred | ready.guessed
    beyond = int(((flown.here.beyond | flown.there.beyond) & ~out).sum())
    return Restated(
        new, here, there, ready.level,
        changes(table, ready, (flown.here, flown.there), settings, guessed, law),
        counts, n_inferred, say(table, here, there, ready.level, counts, n_inferred, beyond, told),
        conditions_there(table, there, inferred, told),
    )  # fmt: skip


def _fill_in(measures: dict[str, Floats], table: ShotTable, launches: Launches, rows: Bools) -> None:
    """Write the launches that were inferred into their columns, where nothing was measured."""
    import numpy as np

    for name in STRIKE:
        column = table.measure(name)
        missing = rows & ~np.isfinite(column)
        measures[name] = np.where(missing, getattr(launches, name), column)


def _in_order(
    measures: dict[str, Floats],
) -> dict[str, Floats]:
    from bagwright.shots.record import MEASURES

    return {name: measures[name] for name in MEASURES if name in measures}
