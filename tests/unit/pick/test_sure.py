"""Bags under draws: what moves, by how much, how sure a choice is, and what further balls would do."""

from __future__ import annotations

import dataclasses
from functools import lru_cache

import numpy as np
import pytest
from numpy.typing import NDArray

from bagwright.bag.club import Bag, Club, Player
from bagwright.course.lies import Lie
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.pick.build import Played, build_problem, build_swayed
from bagwright.pick.doubt import Doubt, doubt_of
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.further import further
from bagwright.pick.problem import Problem
from bagwright.pick.sure import Sure, between, chosen
from bagwright.pick.sway import AXES, NODES, basis, with_pattern
from bagwright.shots.record import ShotTable
from bagwright.strokes.probes import player_of
from tests.unit.pick import tiny

Floats = NDArray[np.float64]
N = 64


def doubt(far: float = 0.03, long: float = 0.1, wide: float = 0.1, mishit: float = 0.3) -> Doubt:
    """Independent clubs, evenly spread."""
    k = len(tiny.CLUBS)
    rng = np.random.default_rng(1)
    drawn = {
        axis: sd * rng.standard_normal((N, k))
        for axis, sd in zip(AXES, (far, long, wide, mishit), strict=True)
    }
    return Doubt(tiny.CLUBS, drawn, np.full(k, 0.05), np.full(k, 0.06), np.zeros(k, np.int64))


@lru_cache(maxsize=1)
def swayed() -> tuple[Problem, NDArray[np.float32]]:
    return build_swayed([tiny.played()], doubt(), threads=2, fineness=tiny.QUICK)


def sure(drawn: Doubt | None = None) -> Sure:
    p, response = swayed()
    return Sure(Evaluator(p, 1), response, drawn or doubt())


def test_the_problem_is_the_same_with_and_without_its_sway() -> None:
    p, response = swayed()
    assert p.digest() == tiny.built().digest()
    assert response.shape == (len(p.club), NODES)


def test_the_basis_gives_back_polynomials() -> None:
    t = np.linspace(-2.4, 2.4, 25)
    zero = np.zeros_like(t)
    nodes = [-2.0, -1.0, 1.0, 2.0]
    quartic = basis(t, zero, zero, zero)[:, :4] @ [at**4 - 3 * at for at in nodes]
    assert quartic == pytest.approx(t**4 - 3 * t)
    parabola = basis(zero, t, zero, zero)[:, 4:6] @ [at**2 + at for at in (-1.5, 1.5)]
    assert parabola == pytest.approx(t**2 + t)
    assert basis(zero, zero, zero, t)[:, 8] == pytest.approx(t)


def test_a_changed_pattern_is_still_one() -> None:
    player = player_of(tiny.table(), tiny.holes()[0].cell_m)
    shots = player.parts.shape[1]
    value = {"far": np.full(shots, 0.1), "long": np.full(shots, -0.2), "wide": np.zeros(shots)}
    other = with_pattern(player, {**value, "mishit": np.full(shots, np.log(2.0))})
    own, now = player.parts[:, :, :4], other.parts[:, :, :4]
    assert now[..., 0].sum(-1) == pytest.approx(own[..., 0].sum(-1), abs=1e-6)
    assert now[..., 1] == pytest.approx(own[..., 1] * np.exp(0.1), rel=1e-5)
    assert now[..., 3] == pytest.approx(own[..., 3] * np.exp(-0.2), rel=1e-5)
    fairway = now[Lie.FAIRWAY, 0, 3, 0]
    assert fairway / (1 - fairway) == pytest.approx(2 * 0.06 / 0.94, rel=1e-5)


def test_draws_of_nothing_unknown_move_nothing() -> None:
    still = doubt(0.0, 0.0, 0.0, 0.0)
    strokes = sure(still).strokes([tiny.built().whole])
    assert strokes == pytest.approx(tiny.built().everything, abs=1e-4)


def test_draws_agree_with_problems_built_from_them() -> None:
    drawn, bags = doubt(), [tiny.built().whole, tiny.built().bag(("driver", "8 iron", "58 wedge"))]
    ours = sure().strokes(bags)
    settings = drawn.settings(tiny.CLUBS, tiny.table().shots)
    player = player_of(tiny.table(), tiny.holes()[0].cell_m)
    fine = []
    for draw in range(4):
        value = {axis: np.append(drawn.drawn[axis][draw], 0.0)[settings.club_of] for axis in AXES}
        parts = tiny.table().parts.copy()
        parts[..., 0] = with_pattern(player, value).parts[:, :, :4, 0]
        parts[..., 0] /= parts[..., 0].sum(-1, keepdims=True)
        parts[..., 1] *= np.exp(value["far"])[None, :, None]
        parts[..., 3] *= np.exp(value["long"])[None, :, None]
        parts[..., 4] *= np.exp(value["wide"])[None, :, None]
        table = dataclasses.replace(tiny.table(), parts=parts)
        built = build_problem([Played("drawn", 1.0, tiny.holes(), table)], fineness=tiny.QUICK)
        fine.append(Evaluator(built, 1).strokes(bags))
    off = ours[:4] - np.array(fine)
    # These draws come on top of a table that holds their doubt already: all bags are dearer by that.
    assert np.abs(off - off.mean()).max() < 0.2 * np.ptp(ours[:4] - ours[:4].mean(0))


def test_how_sure_a_choice_is() -> None:
    strokes = np.array([[4.0, 4.1], [4.0, 3.9], [4.0, 4.2], [4.0, 4.3]])
    found = chosen(strokes, [0b01, 0b10], 2)
    assert found.best == 0
    assert found.chance == pytest.approx([0.75, 0.25])
    assert found.regret == pytest.approx([0.025, 0.15])
    assert found.club == pytest.approx([0.75, 0.25])
    mean, low, high = between(strokes, 1, 0)
    assert mean == pytest.approx(0.125)
    assert low < mean < high


def test_further_balls_are_worth_something_where_the_choice_hangs_on_them() -> None:
    drawn = doubt()
    length = drawn.drawn["far"][:, 0]
    # A bag with club 0 is better where it goes further, the other costs what it costs.
    strokes = np.stack([4.0 - 3.0 * length, np.full(N, 4.0 + 0.001)], 1)
    found = further(strokes, drawn, (3, 12))
    assert [one.club for one in found[:2]] == ["driver", "driver"]
    assert found[0].balls == 12
    known = strokes.mean(0).min() - strokes.min(1).mean()
    assert 0.5 * known < found[0].worth_strokes < known
    assert 0.3 < found[0].chance_to_change < 0.6
    assert max(one.worth_strokes for one in found if one.club != "driver") < 0.1 * known


def test_further_balls_change_nothing_where_one_bag_is_far_ahead() -> None:
    drawn = doubt()
    strokes = np.stack([4.0 - 3.0 * drawn.drawn["far"][:, 0], np.full(N, 6.0)], 1)
    assert all(one.worth_strokes == 0.0 and one.chance_to_change == 0.0 for one in further(strokes, drawn))


def test_what_was_hit_is_known_better_and_clubs_move_together() -> None:
    player = Player("T", handicap=12.0, driver_speed_mps=44.0)
    clubs = (
        Club("driver", "driver", "1", stamped_loft_deg=10.5),
        Club("7 iron", "iron", "7", stamped_loft_deg=33.5),
        Club("6 iron", "iron", "6", stamped_loft_deg=30.0, status="candidate"),
    )
    bag = Bag(player, clubs)
    fits = fit_dispersion(ShotTable.of([]), player, bag)
    names = tuple(club.name for club in clubs)
    found = doubt_of(bag, fits, names, 128)
    assert found.n == 128
    assert found.balls.tolist() == [0, 0, 0]
    assert (found.drawn["far"].std(0) > 0.05).all()
    assert np.corrcoef(found.drawn["far"][:, 0], found.drawn["far"][:, 1]).min() > 0.3
    assert (found.drawn["long"].mean(0) < 0).all()
    with pytest.raises(InputError, match="no club of this name"):
        doubt_of(bag, fits, ("driver", "club 9"))


def test_draws_of_other_clubs_are_refused() -> None:
    p, response = swayed()
    other = dataclasses.replace(doubt(), clubs=tuple(reversed(tiny.CLUBS)))
    with pytest.raises(InputError, match="do not belong"):
        Sure(Evaluator(p, 1), response, other)
    with pytest.raises(InputError, match="other clubs"):
        build_swayed([tiny.played()], other)
