"""How each candidate's median solid strike leaves the club and lands."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from bagwright.cli.layout import NOTHING, Ruler, bullet, degrees, heading, paragraph, table
from bagwright.estimate import Estimate, percent
from bagwright.units import speed_unit, spoken

if TYPE_CHECKING:
    from bagwright.trial.flown import Flown
    from bagwright.trial.result import FlightLine


def strikes_table(lines: Sequence[FlightLine], ruler: Ruler) -> None:
    """A row per candidate: ball speed, launch, spin, descent, run, chance to hold; a star where inferred."""
    speed = speed_unit(ruler.system)
    heading("How the ball leaves and lands (median solid strike)")
    head = (
        "",
        f"ball speed, {spoken(speed)}",
        "launch",
        "spin, rpm",
        "lands at",
        f"run, {ruler.unit}",
        "holds a green",
    )
    table(head, [_row(line.name, line.flown, speed.factor, ruler) for line in lines])
    if any(line.flown is not None and line.flown.inferred for line in lines):
        paragraph("* not measured: inferred from the rest, so the range is wide.")
    for line in lines:
        if line.flown is None and line.flown_words:
            bullet(line.flown_words)
        elif line.flown is not None and line.flown.doubt:
            bullet(f"{line.name}: {line.flown.doubt}")


def _row(name: str, flown: Flown | None, speed: float, ruler: Ruler) -> tuple[str, ...]:
    if flown is None:
        return (name, *(NOTHING,) * 6)
    value, low, high = (round(x, -1) for x in (flown.spin_rpm.value, flown.spin_rpm.low, flown.spin_rpm.high))
    cells = {
        "ball_speed_mps": _speed(flown.ball_speed_mps, speed),
        "launch_rad": degrees(flown.launch_rad),
        "spin_rpm": f"{value:.0f} ({low:.0f} to {high:.0f})",
    }
    struck = [text + (" *" if key in flown.inferred else "") for key, text in cells.items()]
    return (name, *struck, degrees(flown.descent_rad), ruler.range(flown.run_m), _holds(flown.holds_green))


def _holds(chance: Estimate) -> str:
    """The chance on a normal green, with a firm and a soft one where they differ."""
    normal, firm, soft = (percent(x) for x in (chance.value, chance.low, chance.high))
    return normal if firm == soft == normal else f"{normal} ({firm} firm, {soft} soft)"


def _speed(speed: Estimate, factor: float) -> str:
    return f"{speed.value / factor:.0f} ({speed.low / factor:.0f} to {speed.high / factor:.0f})"
