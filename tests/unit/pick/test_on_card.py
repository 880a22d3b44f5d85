"""Bags on a card: the arrays handed over say the same problem; the kernel itself where there is a card."""

import numpy as np
import pytest

from bagwright.errors import InputError, MachineError
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.on_card import LANES, STILL, CardEvaluator, arrays_of
from bagwright.pick.problem import Problem, Round
from bagwright.strokes.on_card import library
from bagwright.strokes.patterns import Shot

CLUBS = 6


def problem(seed: int = 1) -> Problem:
    """Two invented holes of 40 and 25 spots: each spot has some clubs' options, and leads to nearer spots."""
    rng = np.random.default_rng(seed)
    counts = [40, 25]
    club: list[int] = []
    cost: list[float] = []
    rows: list[tuple[list[int], list[float]]] = []
    first_option = [0]
    for base, n in zip(np.cumsum([0, *counts]), counts, strict=False):
        for spot in range(n):
            has = rng.choice(CLUBS, 3, replace=False)
            price = np.sort(np.append(0.0, rng.gamma(1.0, 0.1, 2)))
            for k, c in [*zip(has, price, strict=True), (-1, 1.5)]:
                club.append(int(k))
                cost.append(float(c))
                far = rng.choice(n, min(spot + 2, 6, n), replace=False)
                share = rng.dirichlet(np.ones(len(far))) * rng.uniform(0.2, 0.8)
                rows.append(([int(base + f) for f in far], [float(w) for w in share]))
            first_option.append(len(club))
    entries = np.cumsum([0, *(len(to) for to, _ in rows)])
    spots = sum(counts)
    return Problem(
        clubs=tuple(f"club {k}" for k in range(CLUBS)), shots=(Shot("club 0", "stock", None),),
        rounds=(Round("invented", 1.0),), hole_round=np.zeros(2, np.int64),
        hole_number=np.array([1, 2], np.int64),
        hole_weight=np.array([1.0, 0.5]), first_spot=np.cumsum([0, *counts]).astype(np.int64),
        tee=np.array([39, 64], np.int64), tee_strokes=np.array([4.5, 3.9]),
        spot_x_m=np.zeros(spots, np.float32), spot_y_m=np.zeros(spots, np.float32),
        spot_lie=np.zeros(spots, np.int32), spot_strokes=np.full(spots, 4, np.float32),
        first_option=np.array(first_option, np.int64), club=np.array(club, np.int32),
        shot=np.zeros(len(club), np.int32), aim_rad=np.zeros(len(club), np.float32),
        cost=np.array(cost, np.float32), first_entry=entries.astype(np.int64),
        next=np.array([t for to, _ in rows for t in to], np.int32),
        chance=np.array([w for _, share in rows for w in share], np.float32),
    )  # fmt: skip


def plain(p: Problem, bag: int) -> np.ndarray:
    """D at the tees from the card's arrays, by the kernel's own steps written out, in double precision."""
    order, (holes, first_spot, tee, turn, first_option, option, entry) = arrays_of(p)
    assert (order == holes).all()
    chance = entry[:, 1].copy().view(np.float32).astype(float)
    cost, club = option[:, 0].copy().view(np.float32).astype(float), option[:, 1]
    found = np.zeros(len(tee))
    for h in holes:
        s0, s1 = first_spot[h], first_spot[h + 1]
        d = np.zeros(s1 - s0)
        for _ in range(500):
            for s in turn[s0:s1]:
                best = np.inf
                for o in range(first_option[s], first_option[s + 1]):
                    if club[o] < 0 or bag >> int(club[o]) & 1:
                        z = slice(option[o, 2], option[o, 3])
                        best = min(best, cost[o] + float(chance[z] @ d[entry[z, 0] // LANES]))
                d[s - s0] = best
        found[h] = d[tee[h]]
    return found


def test_the_cards_arrays_say_the_same_problem() -> None:
    p = problem()
    evaluator = Evaluator(p, threads=1)
    for bag in (p.whole, 0b101010, 0b000111, 0):
        assert plain(p, bag) == pytest.approx(evaluator.by_hole(bag) - p.tee_strokes, abs=2e-6)


def test_without_a_card_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def none() -> None:
        raise MachineError("This machine has no NVIDIA card.", "Leave the card out.")

    monkeypatch.setattr("bagwright.pick.on_card.library", none)
    with pytest.raises(MachineError, match="no NVIDIA card"):
        CardEvaluator(problem())


def _no_card() -> bool:
    try:
        library()
    except MachineError:
        return True
    return False


@pytest.mark.card
@pytest.mark.skipif(_no_card(), reason="needs an NVIDIA card")
def test_the_card_agrees_with_the_processor_on_every_bag() -> None:
    p = problem(2)
    bags = list(range(1 << CLUBS))
    ours, theirs = Evaluator(p), CardEvaluator(p, at_once=16)
    # Invented rows keep up to 0.8 of a change from sweep to sweep: what is short adds up to some times STILL.
    assert theirs.strokes(bags) == pytest.approx(ours.strokes(bags), abs=20 * STILL)
    theirs.still = 1e-7
    assert theirs.strokes(bags) == pytest.approx(ours.strokes(bags), abs=5e-6)
    assert (theirs.holes(bags) == theirs.holes(bags)).all()
    assert theirs.residual < STILL
    with pytest.raises(InputError, match="from 0 to 63"):
        theirs.strokes([64])
