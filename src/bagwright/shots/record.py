"""One shot, and a table of them column by column.

Inside: metres, metres a second, radians, rpm, seconds. `offline` is positive to the right of the target line
for every player. Missing is NaN in a column and None in a `Shot`, never 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

MarkKind = Literal["warm-up", "mishit", "bad-read"]
MISHITS = ("heavy", "thin", "topped", "toe", "heel", "shank", "high")
SWINGS = ("stock", "gripped-down", "flat-out", "three-quarter", "half")
LIES = ("mat", "tee", "fairway", "rough", "sand", "recovery", "green")
CHANGES = ("tip", "tee height", "ball position", "face tape", "other")

MEASURES = (
    "carry_m", "total_m", "offline_m", "offline_total_m", "apex_m", "ball_speed_mps", "club_speed_mps",
    "speed_ratio", "launch_rad", "direction_rad", "spin_rpm", "backspin_rpm", "sidespin_rpm", "spin_axis_rad",
    "descent_rad", "time_s", "attack_rad", "path_rad", "face_rad", "delivered_loft_rad", "impact_toe_m",
    "impact_high_m",
)  # fmt: skip
"""Every measured column, in table order. `impact_toe_m` is positive to the toe, `impact_high_m` upwards."""

TEXTS = ("club", "setting", "swing", "ball", "lie", "note", "change", "visit")
"""Every text column. `club` is the unique name of a build; `change` what was stamped before this shot."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Why a shot counts differently, with the reason and who set it ("file", "professional", "model")."""

    kind: MarkKind
    reason: str = ""
    author: str = "file"
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class Shot:
    """One strike and what was measured of it. `order` counts all balls of its visit from 1."""

    club: str
    order: int
    swing: str = "stock"
    setting: str = ""
    ball: str = ""
    lie: str = ""
    note: str = ""
    change: str = ""
    visit: str = ""
    mark: Mark | None = None
    carry_at_least: bool = False
    """True when the carry is only a lower bound: the ball was lost beyond the net or the camera's view."""
    carry_m: float | None = None
    total_m: float | None = None
    offline_m: float | None = None
    offline_total_m: float | None = None
    apex_m: float | None = None
    ball_speed_mps: float | None = None
    club_speed_mps: float | None = None
    speed_ratio: float | None = None
    launch_rad: float | None = None
    direction_rad: float | None = None
    spin_rpm: float | None = None
    backspin_rpm: float | None = None
    sidespin_rpm: float | None = None
    spin_axis_rad: float | None = None
    descent_rad: float | None = None
    time_s: float | None = None
    attack_rad: float | None = None
    path_rad: float | None = None
    face_rad: float | None = None
    delivered_loft_rad: float | None = None
    impact_toe_m: float | None = None
    impact_high_m: float | None = None
    source_file: str = ""
    source_row: int = 0


@dataclass(frozen=True, slots=True)
class ShotTable:
    """Many shots, column by column, so that a million of them stay quick.

    `measures` holds only columns that were present, float arrays of shape (n,) with NaN for missing; `texts`
    likewise as lists of n strings; `order` is int64 (n,), `source_row` int64 (n,) with the row in the file
    (1-based) and `source_file` an index into `files`. `marks` maps a shot's position to its mark.
    """

    n: int
    order: NDArray[np.int64]
    measures: dict[str, Floats] = field(default_factory=dict)
    texts: dict[str, Sequence[str]] = field(default_factory=dict)
    carry_at_least: NDArray[np.bool_] | None = None
    marks: dict[int, Mark] = field(default_factory=dict)
    files: tuple[str, ...] = ()
    source_file: NDArray[np.int64] | None = None
    source_row: NDArray[np.int64] | None = None

    def __len__(self) -> int:
        return self.n

    def measure(self, name: str) -> Floats:
        """Return a measured column of shape (n,); all NaN when the table does not have it."""
        import numpy as np

        if name not in MEASURES:
            raise KeyError(f"{name} is not a measured column; there are {', '.join(MEASURES)}")
        found = self.measures.get(name)
        return np.full(self.n, np.nan) if found is None else found

    def text(self, name: str) -> Sequence[str]:
        """Return a text column of n strings; all empty (swing: "stock") when the table does not have it."""
        if name not in TEXTS:
            raise KeyError(f"{name} is not a text column; there are {', '.join(TEXTS)}")
        found = self.texts.get(name)
        return found if found is not None else ["stock" if name == "swing" else ""] * self.n

    def shot(self, i: int) -> Shot:
        """Shot number i (0-based position in the table) as a record of its own."""
        values: dict[str, object] = {}
        for name, column in self.measures.items():
            value = float(column[i])
            values[name] = None if value != value else value
        for name, texts in self.texts.items():
            values[name] = texts[i]
        if self.source_file is not None and self.files:
            values["source_file"] = self.files[int(self.source_file[i])]
        if self.source_row is not None:
            values["source_row"] = int(self.source_row[i])
        if self.carry_at_least is not None:
            values["carry_at_least"] = bool(self.carry_at_least[i])
        values["club"] = values.get("club", "")
        return Shot(order=int(self.order[i]), mark=self.marks.get(i), **values)  # type: ignore[arg-type]

    def __iter__(self) -> Iterator[Shot]:
        return (self.shot(i) for i in range(self.n))

    @classmethod
    def of(cls, shots: Sequence[Shot]) -> ShotTable:
        """Return a table of the given records, in their order."""
        import numpy as np

        files = tuple(dict.fromkeys(shot.source_file for shot in shots if shot.source_file))
        where = {name: i for i, name in enumerate(files)}
        measures = {
            name: np.array(
                [np.nan if (v := getattr(s, name)) is None else v for s in shots], dtype=np.float64
            )
            for name in MEASURES
            if any(getattr(s, name) is not None for s in shots)
        }
        texts: dict[str, Sequence[str]] = {
            name: [getattr(s, name) for s in shots] for name in TEXTS if any(getattr(s, name) for s in shots)
        }
        return cls(
            n=len(shots),
            order=np.array([s.order for s in shots], dtype=np.int64),
            measures=measures,
            texts=texts,
            carry_at_least=np.array([s.carry_at_least for s in shots], dtype=np.bool_),
            marks={i: s.mark for i, s in enumerate(shots) if s.mark is not None},
            files=files,
            source_file=np.array([where.get(s.source_file, 0) for s in shots], dtype=np.int64)
            if files
            else None,
            source_row=np.array([s.source_row for s in shots], dtype=np.int64),
        )

    def with_marks(self, marks: dict[int, Mark]) -> ShotTable:
        """Return the same shots with exactly these marks; the marks there were stay in the old table."""
        return replace(self, marks=dict(marks))


@dataclass(frozen=True, slots=True)
class Conditions:
    """Where and how a visit's shots were hit, as far as somebody said so; "" is "not said".

    `grade` is how finely the unit reads, as `shots.device` grades units.
    """

    visit: str = ""
    date: str = ""
    place: str = ""
    surface: str = ""
    ball: str = ""
    air: str = ""
    adjusted: Literal["", "as measured", "adjusted"] = ""
    spin: Literal["", "measured", "estimated"] = ""
    aligned: Literal["", "checked", "not checked"] = ""
    grade: Literal["", "good", "mid", "budget"] = ""

    def filled(self, other: Conditions) -> Conditions:
        """Return the same conditions; where this table says nothing of the visit, what another says."""
        names = [each.name for each in fields(self)]
        return Conditions(**{name: getattr(self, name) or getattr(other, name) for name in names})


def together(pairs: Iterable[tuple[str, Conditions]]) -> dict[str, Conditions]:
    """Conditions by visit, from one pair for each table: the first table that says something counts."""
    found: dict[str, Conditions] = {}
    for visit, one in pairs:
        found[visit] = found[visit].filled(one) if visit in found else one
    return found
