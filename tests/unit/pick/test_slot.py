"""A contested slot: against every bag written out, and what its job is counted by hand."""

from __future__ import annotations

import numpy as np
import pytest

from bagwright.course.lies import Lie
from bagwright.errors import InputError
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.slot import slot_on
from bagwright.report.pick import slot_words
from tests.unit.pick.invented import invented

CLUBS = tuple("abcdefgh")
REST, BUILDS = CLUBS[:5], CLUBS[5:]
DRAWS = 400


class Moved:
    """Draws that move each bag by its own build, sd a hundredth of a stroke; the rest by nothing."""

    def __init__(self, works: Evaluator) -> None:
        rng = np.random.default_rng(5)
        self.works, self.moved = works, rng.standard_normal((DRAWS, len(CLUBS))) * 0.01

    def strokes(self, bags: object) -> np.ndarray:
        exact = self.works.strokes(bags)  # type: ignore[arg-type]
        holds = np.array([[bag >> k & 1 if k >= len(REST) else 0 for k in range(len(CLUBS))] for bag in bags])  # type: ignore[attr-defined]
        return exact[None] + self.moved @ holds.T


def test_each_build_costs_what_its_bag_costs_and_the_chances_are_those_of_the_draws() -> None:
    problem = invented(CLUBS, seed=4)
    works = Evaluator(problem, threads=1)
    drawn = Moved(works)
    found = slot_on(problem, works, drawn, REST, BUILDS)
    bags = {name: problem.bag([*REST, name]) for name in BUILDS}
    exact = {name: float(works.strokes([bag])[0]) for name, bag in bags.items()}
    least = min(exact.values())
    for one in found.builds:
        assert one.more.value == pytest.approx(exact[one.club] - least, abs=3e-6)
        assert one.more.low <= one.more.value <= one.more.high
        assert one.used == pytest.approx(works.use_of(bags[one.club]).times[CLUBS.index(one.club)])
    assert [one.more.value for one in found.builds] == sorted(one.more.value for one in found.builds)
    played = drawn.strokes(list(bags.values()))
    wins = np.bincount(played.argmin(1), minlength=3) / DRAWS
    assert {one.club: one.chance for one in found.builds} == pytest.approx(dict(zip(bags, wins, strict=True)))
    empty = float(works.strokes([problem.bag(list(REST))])[0])
    assert found.empty.value == pytest.approx(empty - least, abs=3e-6)
    assert found.empty.value >= 0, "more clubs never cost strokes"


def test_the_job_is_counted_from_the_best_build_s_uses() -> None:
    problem = invented(CLUBS, seed=4)
    works = Evaluator(problem, threads=1)
    found = slot_on(problem, works, Moved(works), REST, BUILDS)
    # All spots of the invented problem lie on a tee, and all its shots are full.
    assert [lie for lie, _share in found.lies] == [Lie(0).name.lower()]
    assert [share for _lie, share in found.lies] == pytest.approx([1.0])
    assert found.full == pytest.approx(1.0)
    assert tuple(slot_words.lies_of(found)) == ("tee",)
    said = slot_words.job_words(found, "Short, white, calm")
    assert f"{found.builds[0].used:.1f} times a round" in said


def test_a_build_that_only_costs_is_named_as_not_worth_hitting() -> None:
    problem = invented(CLUBS, seed=4)
    works = Evaluator(problem, threads=1)

    class Sharp(Moved):
        def strokes(self, bags: object) -> np.ndarray:
            return np.repeat(self.works.strokes(bags)[None], 50, axis=0)  # type: ignore[arg-type]

    found = slot_on(problem, works, Sharp(works), REST, BUILDS)
    gone = [one for one in found.builds if not one.worth_hitting]
    for one in found.builds:
        assert one.worth_hitting == (one.more.value <= 0.02 or one.chance >= 0.25)
    said = slot_words.leaders_words(found)
    assert all(one.club in said for one in found.builds)
    assert ("Not worth hitting" in said) == bool(gone)
    with pytest.raises(InputError, match="no such club"):
        slot_on(problem, works, Sharp(works), REST, ("zz",))
