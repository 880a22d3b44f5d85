"""The rows of a study in figures: spread of strokes, how often each club is used or picked, what it is worth.

A quantile's range is that of its order statistics (David and Nagaraja, "Order Statistics", 3rd edition,
section 7.1, from memory): ranks l and u with P(l <= B < u) >= 90 %, B binomial. It says how far the players
at hand stand for others like them; how well each one is known is in the rows themselves.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from bagwright.estimate import LEVEL
from bagwright.study import Cell
from bagwright.tasks.asking import BETWEEN, figures_in

Row = Mapping[str, Cell]
QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)
BAND = 5.0
"""Handicaps of a band."""


@dataclass(frozen=True, slots=True)
class Quantile:
    """A quantile with its range; None where so few players say nothing of an end."""

    share: float
    value: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Band:
    """The players of a band of handicaps, low <= handicap < high; None for those without one."""

    low: float | None
    players: int
    strokes: Quantile


@dataclass(frozen=True, slots=True)
class ClubLine:
    """A type of club over all players: who carries or was offered it, how much of it is used, its worth.

    `uses` are times a round, a mean over those who carry it. `picked` is the share of those who were offered
    it in whose best bag it is; `worth` in strokes a round, of those in whose best bag it is.
    """

    club: str
    players: int
    uses: float | None = None
    picked: float | None = None
    worth: tuple[Quantile, ...] = ()


@dataclass(frozen=True, slots=True)
class Summary:
    """A study in figures."""

    strokes: tuple[Quantile, ...]
    mean: float | None
    gain: tuple[Quantile, ...]
    """Strokes that the best bag saves against today's; empty for the question that picks none."""
    by_handicap: tuple[Band, ...]
    clubs: tuple[ClubLine, ...]
    shares: Mapping[str, Mapping[str, float]]
    """By band of handicap ("0 to 5") and club: uses a round, or the share in whose best bag it is."""
    processor_s: float | None
    """Median time of the processor for one answer."""
    _values: Sequence[float] = ()
    """Strokes of every player, for pictures."""


@dataclass(slots=True)
class _Seen:
    """What was added up while rows went by."""

    strokes: array[float] = field(default_factory=lambda: array("d"))
    handicap: array[float] = field(default_factory=lambda: array("d"))
    gain: array[float] = field(default_factory=lambda: array("d"))
    offered: dict[tuple[str, float], int] = field(default_factory=dict)
    counted: dict[tuple[str, float], float] = field(default_factory=dict)
    worth: dict[str, list[float]] = field(default_factory=dict)
    players: dict[str, int] = field(default_factory=dict)


def summary_of(rows: Iterable[Row], rounds: int, seconds: Sequence[float]) -> Summary:
    """Sum up the rows of a study, in the order of the tasks; rows of a player's `rounds` stand together.

    A player counts where all of them were answered. `seconds` are times of the processor.
    """
    seen = _Seen()
    group: list[Row] = []
    for row in rows:
        if group and row["player"] != group[0]["player"]:
            _add(seen, group, rounds)
            group = []
        group.append(row)
    _add(seen, group, rounds)
    strokes = np.array(seen.strokes)
    handicap = np.array(seen.handicap)
    return Summary(
        quantiles(strokes), float(strokes.mean()) if strokes.size else None, quantiles(np.array(seen.gain)),
        _bands(strokes, handicap), _clubs(seen), _shares(seen),
        float(np.median(seconds)) if len(seconds) else None, seen.strokes,
    )  # fmt: skip


def _add(seen: _Seen, group: Sequence[Row], rounds: int) -> None:
    """Add one player: a weighted mean over the rounds."""
    if len(group) < rounds or any(row.get("failed") for row in group):
        return
    weights = [_number(row.get("weight"), 1.0) for row in group]
    share = [weight / math.fsum(weights) for weight in weights]
    handicap = _number(group[0].get("handicap"), math.nan)
    seen.strokes.append(
        math.fsum(s * _number(row["strokes"], math.nan) for s, row in zip(share, group, strict=True))
    )
    seen.handicap.append(handicap)
    band = _band(handicap)
    if "offered" in group[0]:
        _add_pick(seen, group[0], band)
        return
    uses: dict[str, float] = {}
    for s, row in zip(share, group, strict=True):
        for club, times in figures_in(str(row.get("uses") or "")).items():
            uses[club] = uses.get(club, 0.0) + s * times
    for club, times in uses.items():
        _count(seen, club, band, times)


def _add_pick(seen: _Seen, row: Row, band: float) -> None:
    worth = figures_in(str(row.get("worth") or ""))
    today = row.get("strokes_today")
    if today is not None:
        seen.gain.append(_number(today, math.nan) - _number(row["strokes"], math.nan))
    for club in dict.fromkeys(str(row["offered"]).split(BETWEEN)):
        _count(seen, club, band, float(club in worth))
    for club, value in worth.items():
        seen.worth.setdefault(club, []).append(value)


def _count(seen: _Seen, club: str, band: float, value: float) -> None:
    key = (club, band)
    seen.offered[key] = seen.offered.get(key, 0) + 1
    seen.counted[key] = seen.counted.get(key, 0.0) + value
    seen.players[club] = seen.players.get(club, 0) + 1


def _number(value: Cell, missing: float) -> float:
    return float(value) if isinstance(value, int | float) else missing


def quantiles(values: NDArray[np.float64], shares: Sequence[float] = QUANTILES) -> tuple[Quantile, ...]:
    """Quantiles of some values with their ranges; none of no values."""
    known = np.sort(values[np.isfinite(values)])
    if not known.size:
        return ()
    return tuple(Quantile(p, float(np.quantile(known, p)), *_range(known, p)) for p in shares)


def _range(known: NDArray[np.float64], p: float) -> tuple[float | None, float | None]:
    """Order statistics that hold a quantile between them with a chance of `LEVEL`."""
    from scipy.special import bdtr

    n = len(known)
    cdf = np.concatenate([[0.0], bdtr(np.arange(float(n)), n, p)])  # cdf[i] = P(B < i)
    tail = (1.0 - LEVEL) / 2.0
    low = int(np.searchsorted(cdf, tail, side="right")) - 1
    high = int(np.searchsorted(cdf, 1.0 - tail, side="left"))
    return (float(known[low - 1]) if low >= 1 else None), (float(known[high - 1]) if high <= n else None)


def _band(handicap: float) -> float:
    return BAND * math.floor(handicap / BAND) if math.isfinite(handicap) else math.nan


def band_words(low: float | None) -> str:
    """A band as it is written: "10 to 15"; better than scratch "+5 to 0"."""
    if low is None or math.isnan(low):
        return "?"
    ends = (f"+{-x:.0f}" if x < 0 else f"{x:.0f}" for x in (low, low + BAND))
    return " to ".join(ends)


def _bands(strokes: NDArray[np.float64], handicap: NDArray[np.float64]) -> tuple[Band, ...]:
    lows = np.array([_band(h) for h in handicap])
    found = []
    for low in [*sorted(set(lows[np.isfinite(lows)])), math.nan]:
        here = strokes[np.isnan(lows) if math.isnan(low) else lows == low]
        if here.size:
            (middle,) = quantiles(here, (0.5,))
            found.append(Band(None if math.isnan(low) else float(low), int(here.size), middle))
    return tuple(found)


def _clubs(seen: _Seen) -> tuple[ClubLine, ...]:
    lines = []
    for club in sorted(seen.players, key=club_order):
        n = seen.players[club]
        mean = math.fsum(value for (name, _), value in seen.counted.items() if name == club) / n
        if seen.worth:
            worth = quantiles(np.array(seen.worth.get(club, [])), (0.05, 0.5, 0.95))
            lines.append(ClubLine(club, n, None, mean, worth))
        else:
            lines.append(ClubLine(club, n, mean))
    return tuple(lines)


def _shares(seen: _Seen) -> dict[str, dict[str, float]]:
    found: dict[str, dict[str, float]] = {}
    keys = sorted(
        seen.offered, key=lambda key: (math.inf if math.isnan(key[1]) else key[1], club_order(key[0]))
    )
    for club, low in keys:
        found.setdefault(band_words(low), {})[club] = seen.counted[club, low] / seen.offered[club, low]
    return found


_KINDS = ("driver", "wood", "hybrid", "iron", "wedge", "putter")


def club_order(club: str) -> tuple[int, float, str]:
    """Longest first: by kind, then by number or loft."""
    number, _, kind = club.rpartition(" ")
    digits = number.rstrip("°")
    place = _KINDS.index(kind) if kind in _KINDS else len(_KINDS)
    return place, float(digits) if digits.replace(".", "").isdigit() else 0.0, club
