"""The bag in the report: a real search on a problem that nobody worked out; short where nothing changes."""

from __future__ import annotations

import datetime
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from bagwright.bag.club import Bag, Build, Club, Kind, Player
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.pick.best import pick_bag
from bagwright.pick.doubt import doubt_of
from bagwright.pick.evaluate import Evaluator
from bagwright.pick.how_sure import with_draws
from bagwright.pick.route import Route
from bagwright.pick.sure import Sure
from bagwright.pick.wish import Wish
from bagwright.plain import plain
from bagwright.report.pdf import report_data, write_report
from bagwright.report.pick import words
from bagwright.report.pick.beside import Beside
from bagwright.report.pick.carries import carries_of
from bagwright.report.pick.shown import VERSION, PickShown
from bagwright.shots.record import ShotTable
from tests.unit.pick.invented import invented
from tests.unit.report import sample

DAY = datetime.date(2026, 5, 9)
CLUBS: tuple[tuple[str, Kind, float], ...] = (
    ("Driver", "driver", 10.5), ("5 wood", "wood", 18.0), ("4 hybrid", "hybrid", 22.0),
    ("6 iron", "iron", 27.0), ("8 iron", "iron", 35.0), ("Pitching wedge", "wedge", 45.0),
    ("Sand wedge", "wedge", 55.0),
)  # fmt: skip
NEW = "50 wedge"


def bag() -> Bag:
    """Seven carried clubs and a candidate of 90."""
    made = [Club(name, kind, build=Build(loft_deg=loft)) for name, kind, loft in CLUBS]
    new = Club(NEW, "wedge", status="candidate", price=90.0, lead_time_days=6.0, build=Build(loft_deg=50.0))
    return Bag(Player(name="Robin Example", handicap=14.0, currency="EUR"), (*made, new))


@cache
def shown(slots: int = 6, seed: int = 1) -> PickShown:
    """The pick of so many of the eight clubs."""
    known = bag()
    fits = fit_dispersion(ShotTable.of(()), known.player, known)
    problem = invented([club.name for club in known.clubs], "Short, white, calm", seed)
    today = tuple(name for name, *_ in CLUBS)
    wish = Wish(slots, today=today, prices=((NEW, 90.0),))
    works, doubt = Evaluator(problem), doubt_of(known, fits, problem.clubs)
    rng = np.random.default_rng(3)
    response = 0.02 * rng.standard_normal((len(problem.club), doubt.weights().shape[2]))
    drawn = Sure(works, response.astype(np.float32), doubt)
    pick, proof = pick_bag(problem, wish, works=works)
    beside = Beside(problem, works, wish, proof, drawn, {NEW: 6.0})
    found = with_draws(pick, problem, drawn, doubt)
    return beside.shown(found, ("Putter",), carries_of(known, fits), "EUR", ("made up",))


def data(one: PickShown | None, language: str = "en") -> dict[str, Any]:
    return report_data(replace(sample.report(), picked=one), DAY, "a4", "yards", language)


def test_without_a_course_there_is_no_section() -> None:
    found = data(None)
    assert found["pick_said"] == found["pick_worth"] == found["pick_more"] == []
    assert "worth" not in found["charts"]


def test_the_section_has_bag_proof_worth_distances_holes_and_near_bags() -> None:
    one = shown()
    found = data(one)
    said = " ".join(found["pick_said"])
    assert "Under this model and these inputs no allowed bag is better" in said
    assert f"{one.pick.round:.2f} strokes a round" in said
    assert [row[0] for row in found["pick_worth"]] == [each.club for each in one.pick.worth]
    assert "(" in found["pick_worth"][0][1], "worth has its range"
    assert found["charts"]["worth"]["svg"].startswith("<svg")
    carried = {row[0] for row in found["pick_carries"]}
    assert carried == set(one.today) | set(one.pick.clubs)
    for row in found["pick_carries"]:
        goes, comes = row[0] not in one.pick.clubs, row[0] not in one.today
        assert row[1] == ("goes out" if goes else "comes in" if comes else "")
    assert len(found["pick_near"]) == min(8, len(one.pick.runners_up))
    assert found["pick_more"]
    strokes = {each.hole: each for each in one.holes}
    for row in found["pick_holes"]:
        assert float(row[3].replace("−", "-")) == pytest.approx(strokes[int(row[0])].saves, abs=6e-4)


def test_a_step_of_a_bag_is_that_between_its_own_neighbours() -> None:
    one = shown()
    lines = one.carries.lines(("Driver", "8 iron", "Sand wedge"))
    assert [line.club.club for line in lines] == ["Driver", "8 iron", "Sand wedge"]
    by_name = {each.club: each.carry_m.value for each in one.carries.clubs}
    step = lines[0].step
    assert step is not None
    # Medians of independent draws against the difference of their middles: within some metres.
    assert step.step_m.value == pytest.approx(by_name["Driver"] - by_name["8 iron"], abs=4.0)
    assert step.word == "gap"
    assert lines[-1].step is None


def with_hit(one: PickShown, clubs: tuple[str, ...]) -> PickShown:
    """The same, as if twelve balls had been hit with these clubs."""
    made = tuple(replace(each, n_shots=12 * (each.club in clubs)) for each in one.carries.clubs)
    return replace(one, carries=replace(one.carries, clubs=made))


def test_clubs_that_were_never_hit_are_said_beside_the_proof() -> None:
    one = shown()
    clubs = one.pick.clubs
    assert len(clubs) == 6
    assert words.unhit_words(one).startswith("None of these clubs has been hit yet")
    assert words.unhit_words(one) in data(one)["pick_said"]
    assert "geschlagen" in " ".join(data(one, language="de")["pick_said"])
    few = words.unhit_words(with_hit(one, clubs[:1]))
    assert few.startswith("Not hit yet: 5 of the 6 clubs.")
    assert few.endswith("Hit some balls before buying.")
    most = words.unhit_words(with_hit(one, clubs[:3]))
    assert most.startswith("Not hit yet: 3 of the 6 clubs.")
    assert "before buying" not in most
    assert words.unhit_words(with_hit(one, clubs)) == ""


def test_a_step_to_a_club_that_was_never_hit_is_not_called_even_narrow_or_wide() -> None:
    one = shown()
    clubs = tuple(each.club for each in one.carries.clubs)
    sizes = {"even", "narrow", "wide"}
    assert sizes & {each.word for each in one.carries.steps}, "some are judged so by their middle alone"
    called = [line.step.word for line in one.carries.lines(clubs) if line.step]
    hit = [line.step.word for line in with_hit(one, clubs).carries.lines(clubs) if line.step]
    assert not sizes & set(called)
    assert sizes & set(hit), "of clubs that were hit they are"
    assert [word if word not in sizes else "estimated" for word in hit] == called


def test_a_price_without_a_currency_leaves_no_gap() -> None:
    route = Route((), 0.01, ("50 wedge",), 145.0, 5.0, 0.08, (), (), 0.02)
    plain_ = words.route_words(route, "")
    assert plain_.startswith("50 wedge for 145, there in 5 days: ")
    assert "Buying nothing does as well in" in plain_
    assert words.route_words(route, "EUR").startswith("50 wedge for 145 EUR, there in 5 days: ")


def test_where_today_s_bag_is_as_good_the_section_is_short() -> None:
    one = shown(slots=8)
    same = replace(one, pick=replace(one.pick, today=one.pick.round + 0.015), slots=9)
    found = data(same)
    assert "Keeping today's bag is as good" in " ".join(found["pick_said"])
    assert found["pick_worth"] == found["pick_carries"] == found["pick_holes"] == []
    assert "worth" not in found["charts"]
    over = replace(same, slots=7)
    assert "they are more than may be carried" in words.keep_words(
        replace(over, pick=replace(over.pick, today=over.pick.round - 0.1))
    )


def test_differences_are_never_more_than_they_are() -> None:
    """Ties, what nobody feels, what is about as well (docs/pick.md), and what counts."""
    assert words.more_words(0.0005).startswith("a tie")
    assert words.more_words(0.015).startswith("as good")
    assert words.more_words(0.04) == "about as well: a stroke in 25 rounds"
    assert words.more_words(0.2) == "a stroke in 5 rounds"
    assert words.more_words(1.4) == "1.4 strokes every round"
    assert words.more_words(-0.2) == words.more_words(0.2)


def test_an_unproven_pick_never_says_that_it_is_proven() -> None:
    one = shown()
    open_ = replace(one, pick=replace(one.pick, optimal=False, bound=one.pick.round - 0.3))
    said = " ".join(data(open_)["pick_said"])
    assert "Not proven" in said
    assert "no allowed bag is better" not in said


def test_a_kept_pick_comes_back_the_same_and_a_spoilt_one_is_refused() -> None:
    one = shown()
    kept = {"version": VERSION, "shown": plain(one)}
    back = PickShown.of(kept)
    assert back.pick.clubs == one.pick.clubs
    assert back.pick.round == pytest.approx(one.pick.round, rel=1e-9)
    assert back.carries.clubs[0].club == one.carries.clubs[0].club
    assert back.pick.worth[0].range is not None
    with pytest.raises(InputError, match="another version"):
        PickShown.of(kept | {"version": "0"})
    for spoilt in ({"pick": None}, {"slots": "six"}, {"today": [1]}):
        with pytest.raises(InputError, match="cannot be read"):
            PickShown.of({"version": VERSION, "shown": plain(one) | spoilt})


def test_rounds_are_called_as_the_reader_knows_them() -> None:
    one = shown().called({"Short, white, calm": "Kurz, weiß, windstill"})
    assert one.rounds[0][0] == "Kurz, weiß, windstill"
    assert {each.round for each in one.holes} == {"Kurz, weiß, windstill"}


def test_the_pages_are_written_in_both_languages(tmp_path: Path) -> None:
    report = replace(sample.report(), picked=shown())
    for language in ("en", "de"):
        path = write_report(report, tmp_path / language, date="2026-05-09", language=language)
        assert path.read_bytes().startswith(b"%PDF-")
    german = data(shown(), "de")
    assert "no allowed bag" not in str(german)
    assert "Mit diesem Modell" in " ".join(german["pick_said"])
