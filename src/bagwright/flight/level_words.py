"""The level in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bagwright.estimate import Estimate
    from bagwright.flight.level import Level


def _percent(factor: Estimate) -> str:
    return (
        f"{100 * (factor.value - 1):+.0f} % ({100 * (factor.low - 1):+.0f} to {100 * (factor.high - 1):+.0f})"
    )


def say(found: Level, apex_seen: bool) -> tuple[str, ...]:
    """Sentences that go with a level, the most important first."""
    shots = f"{found.shots_used} shot{'s' if found.shots_used != 1 else ''}"
    lines = []
    if found.carry_share is not None:
        lines.append(f"Against the law as published, carry by {shots}: {_percent(found.carry_share)}.")
    lines.append(f"Drag {_percent(found.drag)}, lift {_percent(found.lift)}.")
    if found.second_open:
        why = (
            "the heights seen are too few or too rough to tell them apart"
            if apex_seen
            else "apex would tell them apart"
        )
        lines.append(f"Carry fixes one combination of drag and lift, not both: {why}.")
    if found.shots_off:
        off = f"{len(found.shots_off)} of {shots}"
        lines.append(f"{off} did not fit with the rest and hardly counted: likely bad reads.")
    if found.shots_used < 8:
        lines.append("Few shots: the factors are still drawn towards the law as published.")
    return tuple(lines)
