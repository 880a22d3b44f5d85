"""The board's state from the first ball on, its words, and that it is computed once for all who ask."""

from __future__ import annotations

import datetime
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone, translation

from bagwright.bay import board as bay_board
from bagwright.bay.board import BoardState, Memory, Standing, mark_of, state_of, waiting_for
from bagwright.store.models import Account, Candidate, Club, Player, Rating, ShotRecord, Visit
from bagwright.trial.result import NextBalls
from bagwright.web.views.board import NO_LEAD, TOLD_FROM, open_of

pytestmark = pytest.mark.django_db
AddShots = Callable[..., list[ShotRecord]]
BagOf = Callable[[Player], dict[str, Club]]


@pytest.fixture(autouse=True)
def english() -> Iterator[None]:
    """Words outside a request are English, whatever language the last request was in."""
    with translation.override("en"):
        yield


def hit_all(visit: Visit, clubs: list[Club], add_shots: AddShots, n: int = 6) -> None:
    """The same number of balls with each, in turns of two, so that nothing is blocked."""
    carries = {club.pk: 92.0 - 2.0 * i for i, club in enumerate(clubs)}
    for turn in range(n // 2):
        for club in clubs:
            add_shots(visit, club, 2, carries[club.pk], seed=100 * turn + club.pk)


def page(client: Client, visit: Visit, name: str = "board") -> str:
    return client.get(f"/visits/{visit.pk}/{name}/").content.decode()


def test_a_spot_that_moved_since_the_brief_is_said_with_why(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Callable[..., list[ShotRecord]]
) -> None:
    for club in candidates[:2]:
        add_shots(visit, club, 8, 90.0)
    verdict = state_of(visit).verdict
    assert verdict is not None
    Visit.objects.filter(pk=visit.pk).update(brief={"spot_m": verdict.spot_m + 1.0})
    assert "The brief took" not in page(client, visit), "a metre is no other spot"
    # 64.008 m are 70 yd exactly.
    Visit.objects.filter(pk=visit.pk).update(brief={"spot_m": 64.008})
    html = page(client, visit).replace("\xa0", " ")
    now = round(verdict.spot_m / 0.9144)
    assert (
        f"The brief took 70 yd as the spot, from the balls before this visit; with the balls of now it is {now} yd"
        in html
    )
    assert "Hold it: write the carry into the brief" in html


def test_no_candidate_sends_to_the_brief(client: Client, visit: Visit) -> None:
    state = state_of(visit)
    assert (state.verdict, state.fits, state.standings) == (None, None, ())
    assert "Two builds at least must take part" in state.waiting
    assert f'href="/visits/{visit.pk}/brief/"' in page(client, visit)


def test_one_candidate_alone_is_no_trial(visit: Visit, candidates: list[Club]) -> None:
    visit.candidates.exclude(club=candidates[0]).delete()
    assert "Two builds at least" in state_of(visit).waiting


def test_without_a_ball_the_present_club_is_named_first(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    said = state_of(visit).waiting
    assert said == ("0 of 3 candidates have 3 stock balls or more; hit Gap wedge next (0 so far).")
    html = page(client, visit)
    assert said in html
    assert "The board fills as balls are hit." in html
    assert "Pictures" not in html


def test_the_candidate_with_fewest_balls_is_named(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    add_shots(visit, candidates[0], 3, 92.0)
    add_shots(visit, candidates[1], 2, 90.0, seed=2)
    state = state_of(visit)
    assert state.verdict is None
    assert state.waiting.startswith("1 of 3 candidates")
    assert "hit 51 blade next (0 so far)" in state.waiting
    assert "Cannot tell yet." in page(client, visit)


def test_warm_up_bad_reads_taken_back_and_other_swings_do_not_count(
    visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    shots = add_shots(visit, candidates[0], 5, 92.0)
    changes: list[dict[str, Any]] = [
        {"mark": "warm-up"}, {"mark": "bad-read"}, {"undone_at": timezone.now()}, {"swing": "half"},
    ]  # fmt: skip
    for shot, change in zip(shots, changes, strict=False):
        ShotRecord.objects.filter(pk=shot.pk).update(**change)
    visit.revision += 1
    visit.save()
    assert state_of(visit).standings[0].balls == 1


def test_a_mishit_counts_as_a_ball(visit: Visit, candidates: list[Club], add_shots: AddShots) -> None:
    (shot,) = add_shots(visit, candidates[0], 1, 92.0)
    ShotRecord.objects.filter(pk=shot.pk).update(mark="mishit", mark_reason="heavy")
    assert state_of(visit).standings[0].balls == 1


def test_who_joins_late_does_not_take_the_verdict_away(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    hit_all(visit, candidates[:2], add_shots)
    state = state_of(visit)
    assert state.verdict is not None
    assert [one.name for one in state.verdict.candidates] == ["Gap wedge", "50 cavity"]
    assert [one.name for one in state.late] == ["51 blade"]
    html = page(client, visit)
    assert "51 blade has 0 stock balls of the 3 that a judgement needs." in html
    assert state.waiting == ""


def test_no_verdict_without_the_club_now_in_the_slot(
    visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    hit_all(visit, candidates[1:], add_shots)
    state = state_of(visit)
    assert state.verdict is None
    assert "hit Gap wedge next (0 so far)" in state.waiting


def test_a_verdict_has_four_sides_a_chance_and_never_the_word_best_of_all(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    hit_all(visit, candidates, add_shots)
    state = state_of(visit)
    assert state.verdict is not None
    assert sum(one.chance for one in state.verdict.candidates) == pytest.approx(1.0)
    html = page(client, visit)
    for word in ("Strike", "Flight", "Dispersion", "Place in the bag", "does best:", "Still open"):
        assert word in html
    assert 'class="headline' in html or "headline" in html
    assert "proven" not in html.lower()
    assert html.count("<svg") == 12
    assert 'style="' not in html
    assert 'scope="row"' in html


def test_what_is_open_is_asked_plainly_with_who_is_ahead_and_which_balls_tell_most(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    hit_all(visit, candidates, add_shots)
    verdict = state_of(visit).verdict
    assert verdict is not None
    found = open_of(verdict, ())
    asked = [
        side for side in (verdict.strike, verdict.flight, verdict.dispersion, verdict.place)
        if side.probability < TOLD_FROM
    ]  # fmt: skip
    assert len(found.points) == len(asked)
    for (_question, ahead), side in zip(found.points, asked, strict=True):
        assert (side.leader in ahead) == (side.probability >= NO_LEAD)
    balls = (NextBalls("50 cavity", 3, 0.3, 0.1), NextBalls("51 blade", 1, 0.3, 0.1))
    most = open_of(replace(verdict, next_balls=balls), ()).most
    assert most == (
        "3 balls with 50 cavity, 1 ball with 51 blade, in turns. Chance that they change the choice: 30\u00a0%."
    )
    assert "would hardly turn" in open_of(replace(verdict, next_balls=(), answer="choice"), ()).most
    assert "about equally well" in open_of(replace(verdict, next_balls=(), answer="close"), ()).most
    html = page(client, visit)
    assert "Which balls would tell most" in html


def test_a_side_bias_is_the_set_ups_until_alignment_was_checked(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    hit_all(visit, candidates, add_shots)
    assert page(client, visit).count("centre today: player or set-up") == 3
    Visit.objects.filter(pk=visit.pk).update(aligned="checked", version=visit.version + 1)
    html = page(client, visit)
    assert "player or set-up" not in html
    assert "centre today" in html


def test_balls_in_blocks_are_said_to_be_so(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots
) -> None:
    for i, club in enumerate(candidates):
        add_shots(visit, club, 8, 92.0 - i, seed=i)
    state = state_of(visit)
    assert state.verdict is not None
    assert state.verdict.blocked
    assert "hit one after the other, not in turns" in page(client, visit)


def test_what_the_judgement_refuses_is_a_sentence_not_a_crash(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots, monkeypatch: pytest.MonkeyPatch
) -> None:
    from bagwright.errors import InputError
    from bagwright.trial import verdict

    def refuse(*_args: object, **_more: object) -> None:
        raise InputError("The candidates were never hit with one ball.", "Hit them with the same.")

    monkeypatch.setattr(verdict, "judge", refuse)
    hit_all(visit, candidates, add_shots)
    html = page(client, visit)
    assert "No judgement from these balls." in html
    assert "never hit with one ball. Hit them with the same." in html


def test_the_part_is_a_part_and_the_page_a_page(client: Client, visit: Visit) -> None:
    part = client.get(f"/visits/{visit.pk}/board/", headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    assert "<html" in page(client, visit)


def test_metres_and_german(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots, account: Account
) -> None:
    hit_all(visit, candidates, add_shots)
    Account.objects.filter(pk=account.pk).update(units="metres", language="de")
    html = page(client, visit)
    assert "\u00a0m (" in html
    assert "\u00a0yd" not in html
    # What an attribute of a drawing needs is a point, whatever the language.
    assert 'x="0,' not in html


def test_the_words_are_those_of_whoever_asks(visit: Visit, candidates: list[Club]) -> None:
    with translation.override("de"):
        first = state_of(visit)
    with translation.override("en"):
        assert state_of(visit) is first, "the same state serves every language"
        assert first.waiting.startswith("0 of 3 candidates")


def test_a_left_hander_gets_the_same_board_with_sides_of_the_target_line(
    client: Client, left_player: Player, account: Account, bag_of: BagOf, add_shots: AddShots
) -> None:
    clubs = bag_of(left_player)
    visit = Visit.objects.create(
        player=left_player, coach=account, started_at=timezone.now(), slot=clubs["Gap wedge"]
    )
    rival = Club.objects.create(player=left_player, name="50 cavity", kind="wedge", loft_deg=50.0,
                                status="candidate", position=30)  # fmt: skip
    for i, club in enumerate((clubs["Gap wedge"], rival)):
        Candidate.objects.create(visit=visit, club=club, position=i, present=i == 0)
    hit_all(visit, [clubs["Gap wedge"], rival], add_shots)
    ShotRecord.objects.filter(visit=visit).update(offline_m=9.0)
    Visit.objects.filter(pk=visit.pk).update(revision=99)
    state = state_of(visit)
    assert state.verdict is not None
    assert all(line.offline_m.value > 0 for line in state.verdict.dispersion.lines)
    assert any("Left-hander" in caution for caution in state.verdict.cautions)
    assert "right" in page(client, visit)


@pytest.mark.parametrize(
    "name",
    ['"><script>alert(1)</script>', "$x^{$ \\input{x} #quote", "{{ 7|add:7 }}", "כיתה\u202eabc", "x" * 5000],
)
def test_hostile_names_are_only_names(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots, name: str
) -> None:
    Club.objects.filter(pk=candidates[1].pk).update(name=name, version=9)
    hit_all(visit, candidates, add_shots)
    for route in ("board", "decide", "ratings", "distances", "pictures", "pictures/?picture=carries"):
        answer = client.get(f"/visits/{visit.pk}/{route.split('?')[0].strip('/')}/?{route.partition('?')[2]}")
        html = answer.content.decode()
        assert answer.status_code == 200, route
        assert "<script>alert" not in html
        assert "{{ 14" not in html
        assert "Traceback" not in html


def test_a_stranger_finds_nothing(client: Client, visit: Visit) -> None:
    other = Account.objects.create_user("other coach", role="coach")
    theirs = Player.objects.create(coach=other, name="Not yours", hand="right")
    foreign = Visit.objects.create(player=theirs, coach=other, started_at=timezone.now())
    for route in ("board", "pictures", "ratings", "decide", "distances"):
        assert client.get(f"/visits/{foreign.pk}/{route}/").status_code == 404
    for route in ("ratings", "decide", "distances"):
        assert client.post(f"/visits/{foreign.pk}/{route}/").status_code == 404
    assert client.get("/visits/999999/board/").status_code == 404


def test_nothing_changes_by_looking(client: Client, visit: Visit, candidates: list[Club]) -> None:
    for route in ("ratings", "decide", "distances", "board"):
        client.get(f"/visits/{visit.pk}/{route}/?hide=1&outcome=open&undo=1&withdraw=1")
    visit.refresh_from_db()
    assert (visit.revision, visit.hide_numbers, visit.decisions.count()) == (0, False, 0)
    assert client.post(f"/visits/{visit.pk}/board/").status_code == 405
    assert client.post(f"/visits/{visit.pk}/pictures/").status_code == 405


@pytest.mark.parametrize("wanted", ["landing", "flight", "order", "carries", "nonsense"])
def test_every_picture_has_words_and_a_table(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots, wanted: str
) -> None:
    hit_all(visit, candidates, add_shots)
    html = client.get(f"/visits/{visit.pk}/pictures/?picture={wanted}").content.decode()
    assert "<figcaption" in html
    assert "The same as a table" in html
    assert html.count('aria-current="true"') == 1


def test_no_picture_before_the_first_ball(client: Client, visit: Visit) -> None:
    answer = client.get(f"/visits/{visit.pk}/pictures/")
    assert answer.status_code == 200
    assert "nothing to draw" in answer.content.decode()


def test_other_rows_than_the_visits_own_make_a_new_state(
    visit: Visit, candidates: list[Club], add_shots: AddShots, player: Player, account: Account
) -> None:
    """The bag, the player, ratings, candidates and earlier visits count, not the revision alone."""
    hit_all(visit, candidates, add_shots)
    marks = [mark_of(Visit.objects.get(pk=visit.pk))]

    def noted() -> None:
        marks.append(mark_of(Visit.objects.select_related("player").get(pk=visit.pk)))

    Club.objects.filter(pk=candidates[1].pk).update(loft_deg=51.0, version=2)
    noted()
    Player.objects.filter(pk=player.pk).update(handicap=3.0, version=2)
    noted()
    Rating.objects.create(visit=visit, club=candidates[0], feel=4)
    noted()
    visit.candidates.filter(club=candidates[2]).update(left_at=timezone.now())
    noted()
    earlier = Visit.objects.create(
        player=player, coach=account, started_at=visit.started_at - datetime.timedelta(days=30)
    )
    noted()
    add_shots(earlier, candidates[0], 2, 95.0)
    noted()
    assert len(set(marks)) == len(marks) == 7


def test_ten_threads_compute_once() -> None:
    memory, computed = Memory(), []
    start = threading.Barrier(10)
    found: list[BoardState] = []

    def compute() -> BoardState:
        computed.append(1)
        time.sleep(0.05)
        return blank(1, "a")

    def ask() -> None:
        start.wait()
        found.append(memory.get(1, "yards", "a", compute))

    threads = [threading.Thread(target=ask) for _ in range(10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(computed) == 1
    assert len({id(state) for state in found}) == 1
    assert memory.sizes() == (1, 0), "nothing is left of those who waited"


def test_a_failed_computation_is_tried_again_by_the_next() -> None:
    memory = Memory()

    def fail() -> BoardState:
        raise RuntimeError("once")

    with pytest.raises(RuntimeError):
        memory.get(1, "yards", "a", fail)
    assert memory.get(1, "yards", "a", lambda: blank(1, "a")).mark == "a"
    assert memory.sizes() == (1, 0)


def test_the_memory_is_bounded_and_keeps_one_state_a_visit() -> None:
    memory = Memory(keep=3)
    for mark in ("a", "b", "c"):
        memory.get(1, "yards", mark, partial(blank, 1, mark))
    assert memory.sizes() == (1, 0)
    for visit_id in range(2, 9):
        memory.get(visit_id, "yards", "a", partial(blank, visit_id, "a"))
    assert memory.sizes() == (3, 0)
    assert memory.get(1, "metres", "a", lambda: blank(1, "a")).visit_id == 1


def blank(visit_id: int, mark: str) -> BoardState:
    from bagwright.bag.club import Bag
    from bagwright.shots.record import ShotTable

    return BoardState(visit_id, 0, "yards", ShotTable.of([]), Bag(), {}, (), None, None, mark=mark)


def test_the_second_look_computes_nothing(
    client: Client, visit: Visit, candidates: list[Club], add_shots: AddShots, monkeypatch: pytest.MonkeyPatch
) -> None:
    hit_all(visit, candidates, add_shots)
    page(client, visit)

    def never(*_args: object) -> BoardState:
        raise AssertionError("computed again though nothing changed")

    monkeypatch.setattr(bay_board, "computed", never)
    assert "headline" in page(client, visit)


@pytest.mark.parametrize(
    ("balls", "said"),
    [
        ([], "Two builds at least"),
        ([("A", True, 9)], "Two builds at least"),
        ([("A", True, 3), ("B", False, 3)], ""),
        ([("A", True, 3), ("B", False, 3), ("C", False, 0)], ""),
        ([("A", True, 2), ("B", False, 3), ("C", False, 3)], "hit A next (2 so far)"),
        ([("A", False, 3), ("B", False, 3)], ""),
        ([("A", True, 1), ("B", False, 1)], "hit A next (1 so far)"),
    ],
)
def test_what_is_waited_for(balls: list[tuple[str, bool, int]], said: str) -> None:
    words = waiting_for(tuple(Standing(*one) for one in balls))
    assert said in words
    assert bool(said) == bool(words)
