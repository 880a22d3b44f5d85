"""Branch and bound against going through every bag, against a linear program's solver, and against itself."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from itertools import combinations, pairwise

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from bagwright.errors import InputError
from bagwright.pick.bounds import proven
from bagwright.pick.enumerate import Enumeration, count
from bagwright.pick.proof import Proof, verify
from bagwright.pick.search import MOST_NEAR, Search, Standing
from bagwright.pick.wish import Limits, Pin, Wish, limits_of
from tests.unit.pick.toys import Sum, Walk, allowed

NAMES = tuple("abcdefghijkl")


def searched(source: Walk | Sum, limits: Limits, within: float = 0.02) -> Search:
    search = Search(source, limits, within)
    search.run()
    assert search.proven
    return search


def by_hand(source: Walk, limits: Limits) -> dict[int, float]:
    bags = list(allowed(limits))
    return dict(zip(bags, source.strokes(bags).tolist(), strict=True))


def wishes(seed: int) -> Wish:
    """A random wish of every kind."""
    rng = np.random.default_rng(seed)
    names = NAMES[:9]
    today = tuple(rng.choice(names, 5, replace=False).tolist())
    a, b, c, d = rng.choice(names, 4, replace=False).tolist()
    return Wish(
        slots=int(rng.integers(2, 7)),
        pins=(Pin(a, "always"),) if rng.random() < 0.5 else (),
        not_both=((b, c), (c, d)) if rng.random() < 0.7 else (),
        today=today,
        prices=tuple((name, float(rng.integers(0, 300))) for name in names),
        budget=float(rng.integers(0, 500)) if rng.random() < 0.5 and a in today else None,
        changes=int(rng.integers(1, 3)) if rng.random() < 0.5 else None,
        within=0.05,
    )


@pytest.mark.parametrize("seed", range(50))
def test_it_finds_what_going_through_every_bag_finds(seed: int) -> None:
    source, wish = Walk(9, seed), wishes(seed)
    limits = limits_of(wish, NAMES[:9])
    every = by_hand(source, limits)
    least = min(every.values())
    search = searched(source, limits, wish.within)
    assert search.strokes == pytest.approx(least, abs=1e-12)
    near = {bag for bag, cost in every.items() if cost <= least + wish.within and not limits.can_grow(bag)}
    assert near <= set(search.near)
    assert all(every[bag] == pytest.approx(cost) for bag, cost in search.near.items())
    plain = Enumeration(source, limits, wish.within)
    plain.run()
    assert plain.strokes == pytest.approx(least, abs=1e-12)
    assert near <= set(plain.near)
    for found in (search, plain):
        proof = Proof("x", NAMES[:9], wish, found.best, found.strokes, found.near, found.root[0])
        checked = verify(proof, "x", source)
        assert checked.holds, checked.faults


@pytest.mark.parametrize("seed", range(6))
def test_what_clubs_save_one_by_one_is_a_linear_program(seed: int) -> None:
    """HiGHS, an independent solver of integer programs, on the case where nothing hangs together."""
    rng = np.random.default_rng(seed)
    n, price = 18, rng.integers(50, 400, 18)
    source = Sum(rng.gamma(1.0, 0.02, (n, 9)))
    names = tuple(f"club {i}" for i in range(n))
    today = names[:12]
    wish = Wish(
        12, today=today, budget=500.0, prices=tuple(zip(names, price.tolist(), strict=True)),
        not_both=((names[0], names[15]),),
    )  # fmt: skip
    search = searched(source, limits_of(wish, names))
    cost = np.where(np.arange(n) < 12, 0, price)
    pair = (np.arange(n) == 0) | (np.arange(n) == 15)
    rows = LinearConstraint(np.array([np.ones(n), cost, pair]), ub=[12, 500, 1])
    saved = source.saved.sum(1)
    best = milp(-saved, constraints=rows, integrality=np.ones(n, np.int64), bounds=Bounds(0, 1))
    assert search.strokes == pytest.approx(36.0 + saved.sum() + best.fun, abs=1e-6)


def test_the_bound_by_holes_is_below_every_choice() -> None:
    rng = np.random.default_rng(3)
    for _ in range(200):
        m, p = int(rng.integers(1, 8)), int(rng.integers(1, 6))
        base = rng.gamma(2.0, 1.0, p)
        more = base + rng.gamma(0.5, 1.0, (m, p)) * (rng.random((m, p)) < 0.6)
        for must in range(m + 1):
            least = min(
                np.maximum(base, more[list(r)].max(0, initial=0.0)).sum()
                for r in combinations(range(m), must)
            )
            bound = proven(base, more, must)
            assert base.sum() - 1e-12 <= bound <= least + 1e-9
    assert proven(np.ones(2), np.ones((1, 2)), 2) == np.inf


def test_clubs_that_are_never_wanted_and_twins_change_nothing() -> None:
    source = Walk(8, 5)
    limits = limits_of(Wish(4), NAMES[:8])
    before = searched(source, limits).strokes
    # A ninth club that no option names is never used; the first eight keep their places.
    assert searched(source, limits_of(Wish(4), NAMES[:9])).strokes == before
    twin = Walk(8, 5)
    twin.n = 9
    twin.club = np.concatenate([twin.club, np.where(twin.club == 0, 8, twin.club)], axis=2)
    twin.cost = np.concatenate([twin.cost, twin.cost], axis=2)
    twin.chance = np.concatenate([twin.chance, twin.chance], axis=2)
    assert searched(twin, limits_of(Wish(4), NAMES[:9])).strokes == pytest.approx(before, abs=1e-12)


def test_the_order_of_the_clubs_changes_nothing() -> None:
    source, turned = Walk(9, 11), Walk(9, 11)
    order = np.random.default_rng(0).permutation(9)
    turned.club = order[source.club]
    a = searched(source, limits_of(Wish(5), NAMES[:9]), 0.1)
    b = searched(turned, limits_of(Wish(5), NAMES[:9]), 0.1)
    assert a.strokes == pytest.approx(b.strokes, abs=1e-12)
    moved = {sum(1 << int(order[i]) for i in range(9) if bag >> i & 1) for bag in a.near}
    assert moved == set(b.near)


def test_more_slots_never_cost_strokes() -> None:
    source = Walk(9, 2)
    found = [searched(source, limits_of(Wish(k), NAMES[:9])).strokes for k in range(1, 10)]
    assert all(b <= a for a, b in pairwise(found))
    assert found[-1] == pytest.approx(source.strokes([511])[0])


def _further(begun: int, standing: Standing) -> bool:
    return standing.evaluations > begun


def test_stopped_and_taken_up_again_it_gives_the_same() -> None:
    source, wish = Walk(12, 4, holes=9), Wish(6, within=0.05)
    limits = limits_of(wish, NAMES)
    whole = searched(source, limits, 0.05)
    search = Search(source, limits, 0.05)
    pieces = 0
    while not search.proven or not pieces:
        begun = search.known.count
        search.run(stop=partial(_further, begun))
        kept = Proof.of(
            Proof("x", NAMES, wish, search.best, search.strokes, search.near, search.root[0]).plain()
        )
        assert kept.whole == search.proven
        search = Search(source, limits, 0.05)
        search.resume(kept.best, kept.near, kept.tree)
        pieces += 1
    assert pieces > 2
    assert (search.strokes, search.near) == (whole.strokes, whole.near)
    assert verify(kept, "x", source).holds


def test_every_bag_is_taken_up_again_where_it_was_left() -> None:
    source, wish = Walk(12, 4, holes=9), Wish(6, within=0.05)
    limits = limits_of(wish, NAMES)
    whole = Enumeration(source, limits, 0.05)
    whole.run()
    some = Enumeration(source, limits, 0.05)
    some.run(stop=lambda done: True)
    kept = Proof.of(Proof("x", NAMES, wish, some.best, some.strokes, some.near, some.root[0]).plain())
    checked = verify(kept, "x", source)
    assert (checked.holds, checked.faults) == (False, ())
    assert checked.open > 0
    assert checked.lowest <= whole.strokes
    again, asked = Enumeration(source, limits, 0.05), source.asked
    again.resume(kept.best, kept.near, kept.tree)
    again.run()
    assert source.asked - asked == whole.evaluations - some.evaluations + 1  # the best one anew
    assert again.evaluations == whole.evaluations == 924  # 12 over 6
    assert (again.best, again.strokes, again.near) == (whole.best, whole.strokes, whole.near)
    proof = Proof("x", NAMES, wish, again.best, again.strokes, again.near, again.root[0])
    assert verify(proof, "x", source).holds


def test_while_it_runs_the_bound_is_below_and_rises() -> None:
    source = Walk(12, 8, holes=9)
    limits = limits_of(Wish(6), NAMES)
    least = searched(source, limits).strokes
    bounds = []
    search = Search(source, limits, 0.0)
    search.run(tell_=lambda standing: bounds.append(standing.bound))
    assert all(bound <= least + 1e-12 for bound in bounds)
    assert bounds[-1] > bounds[0]
    assert search.standing().bound == search.strokes == least


def test_bags_are_counted_as_they_are_given() -> None:
    assert count(limits_of(Wish(4), NAMES[:9]), 10_000) == 126  # 9 over 4
    assert count(limits_of(Wish(4), NAMES[:9]), 100) == 100


@pytest.mark.parametrize(
    "wish",
    [
        Wish(0),
        Wish(3, pins=(Pin("z", "none such"),)),
        Wish(1, pins=(Pin("a", "x"), Pin("b", "y"))),
        Wish(3, pins=(Pin("a", "x"), Pin("b", "y")), not_both=(("a", "b"),)),
        Wish(3, pins=(Pin("a", "x"),), changes=0),
        Wish(3, budget=10.0),
        Wish(3, pins=(Pin("a", "x"),), budget=10.0, prices=tuple((name, 20.0) for name in NAMES)),
        Wish(3, within=float("nan")),
    ],
)
def test_what_cannot_be_asked_is_said(wish: Wish) -> None:
    with pytest.raises(InputError) as caught:
        limits_of(wish, NAMES)
    assert caught.value.next_step


class Idle(Sum):
    """Clubs of which only the first three are ever worth anything, more or less."""

    def __init__(self, n: int, little: float) -> None:
        saved = np.full((n, 2), little) * np.random.default_rng(1).random((n, 2))
        saved[:3] = 0.2
        super().__init__(saved)


@pytest.mark.parametrize("little", [0.0, 1e-3])
@pytest.mark.parametrize("kind", [Search, Enumeration])
def test_very_many_ties_are_no_trouble(little: float, kind: type[Search] | type[Enumeration]) -> None:
    names = tuple(f"club {i}" for i in range(16))
    wish = Wish(8)
    source, limits = Idle(16, little), limits_of(wish, names)
    found = kind(source, limits, wish.within)
    found.run()
    saved = np.sort(source.saved.sum(1))
    assert found.strokes == pytest.approx(8.0 + saved[:8].sum(), abs=1e-6)
    assert found.within < wish.within
    assert 1 <= len(found.near) <= MOST_NEAR
    kept = replace(wish, within=found.within)
    proof = Proof("x", names, kept, found.best, found.strokes, found.near, found.root[0])
    checked = verify(proof, "x", source)
    assert checked.holds, checked.faults
