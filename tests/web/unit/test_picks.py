"""The best bag in the app: asked for, kept, tried club by club, stopped and taken up again."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager

import pytest
from django.test import Client
from django.urls import reverse

from bagwright.bay import courses, pick_kept, picks, playing
from bagwright.bay.pick_inputs import PickInputs, asked_of
from bagwright.pick.evaluate import Evaluator
from bagwright.store.models import (
    Account,
    Club,
    CourseFile,
    PickProblem,
    PickRun,
    PlayedCourse,
    Player,
    Visit,
)
from tests.web.unit.made_pick import asked_for, clubs_of, invented, kept_pick, stated

CARD = b"hole,par,stroke index,white (yd),red (yd)\n1,3,1,150,130\n"


@pytest.fixture
def kept(db: None) -> CourseFile:
    return courses.take_in(None, "Short course", "short.csv", CARD)


@pytest.fixture
def armed(player: Player, bag_of: Callable[[Player], dict[str, Club]]) -> Player:
    """Eight clubs and a putter that are carried, and a candidate with its price."""
    bag_of(player)
    Club.objects.create(
        player=player, name="52 wedge", kind="wedge", loft_deg=52.0, status="candidate", position=30, price=120.0,
        lead_time_days=9,
    )  # fmt: skip
    return player


@pytest.fixture
def nobody_works(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Picks are put in line, and no thread takes them."""
    line: list[int] = []
    monkeypatch.setattr(picks, "submit", line.append)
    monkeypatch.setattr(picks, "_MINE", set())
    monkeypatch.setattr(picks, "_STOPPED", set())
    return line


@pytest.fixture
def no_holes(monkeypatch: pytest.MonkeyPatch) -> None:
    """The problem is an invented one instead of the course's."""

    def given(inputs: PickInputs, *words: object) -> object:
        return stated(inputs, invented(clubs_of(inputs), inputs.names[0]))

    monkeypatch.setattr(PickInputs, "stated", given)


def test_a_pick_is_asked_for_once_and_what_cannot_be_read_is_said(
    client: Client, armed: Player, kept: CourseFile, nobody_works: list[int],
    django_capture_on_commit_callbacks: Callable[..., AbstractContextManager[object]],
) -> None:  # fmt: skip
    path = f"/players/{armed.pk}/pick/"
    assert "Say where the player plays" in client.get(path).content.decode()
    playing.play(None, armed, kept, "white", 2.0)
    for currency, label in (
        ("", "New clubs for at most, empty"),
        ("EUR", "New clubs for at most (EUR), empty"),
    ):
        Player.objects.filter(pk=armed.pk).update(currency=currency)
        assert label in client.get(path).content.decode()
    played = PlayedCourse.objects.get().pk
    club = {name: Club.objects.get(player=armed, name=name).pk for name in ("Driver", "52 wedge", "5 wood")}
    sent = {
        f"calm{played}": "1", f"windy{played}": "0,5", f"wind{played}": "10 mph", f"from{played}": "2", "slots": "8",
        f"pin{club['Driver']}": "1", f"why{club['Driver']}": "the first tee", "a0": str(club["52 wedge"]),
        "b0": str(club["5 wood"]), "budget": "200", "changes": "1",
    }  # fmt: skip
    with django_capture_on_commit_callbacks(execute=True):
        answer = client.post(path, sent)
        client.post(path, sent)
    run = PickRun.objects.get()
    assert nobody_works == [run.pk]
    asked = asked_of(run)
    calm, windy = asked.scenes
    # 10 mph are 4.4704 m/s exactly; half a round in wind against one in calm air.
    assert (calm.share, windy.share) == (1.0, 0.5)
    assert windy.wind_mps == pytest.approx(4.4704)
    assert asked.pins == (("Driver", "the first tee"),)
    assert asked.not_both == (("52 wedge", "5 wood"),)
    assert (asked.budget, asked.changes, asked.slots) == (200.0, 1, 8)
    page = client.get(answer["Location"]).content.decode()
    assert "The pick waits for its turn" in page
    assert "hx-get" in page
    for wrong in (
        {f"calm{played}": "0", f"windy{played}": ""}, {f"calm{played}": "many"}, {f"wind{played}": ""},
        {f"from{played}": "9"}, {"slots": "15"}, {"slots": ""}, {f"why{club['Driver']}": " "}, {"b0": ""},
        {"b0": str(club["52 wedge"])}, {"budget": "-1"}, {"changes": "x"}, {f"wind{played}": "200 mph"},
    ):  # fmt: skip
        said = client.post(path, sent | wrong)
        assert said.status_code == 422, wrong
        assert "the first tee" in said.content.decode() or "why" in str(wrong), "what was typed stays"
    all_wrong = {"slots": "15", "budget": "-1", f"why{club['Driver']}": "", "b0": ""}
    page = client.post(path, sent | all_wrong).content.decode()
    told = page.split('class="notice trouble" role="alert"')[1].split("</div>")[0]
    for said_once in (
        "&quot;15&quot; clubs cannot be",
        "&quot;-1&quot; is no number",
        "nobody said why",
        "Two clubs make",
    ):
        assert told.count(said_once) == 1, "everything that is wrong is told at once"


def test_a_pick_says_what_is_proven_what_is_near_and_what_each_club_is_worth(
    client: Client, armed: Player, kept: CourseFile, nobody_works: list[int], no_holes: None
) -> None:
    run = picks.start(None, asked_for(armed, kept))
    picks.work(run.pk)
    run.refresh_from_db()
    assert (run.state, run.words) == ("done", "")
    shown = picks.shown_of(run)
    # By hand: every bag of six of the nine clubs, worked out one by one.
    works = Evaluator(invented(shown.clubs))
    sixes = [bag for bag in range(1 << 9) if bag.bit_count() == 6]
    assert shown.pick.round == pytest.approx(float(works.strokes(sixes).min()), abs=2e-6)
    assert len(shown.pick.clubs) + len(shown.putters) == 7
    page = client.get(f"/players/{armed.pk}/pick/{run.pk}/").content.decode()
    assert "Under this model and these inputs no allowed bag is better" in page
    assert f"{shown.pick.round:.2f} strokes a round" in page
    assert "What each club is worth" in page
    assert "made up" in page
    assert "over what the shots leave open, this bag is the best of the" in page or not shown.pick.runners_up
    assert "What more balls would do" in page
    assert "None of these clubs has been hit yet" in page.split('id="proof"')[1].split('id="said"')[0]
    assert "bagwright/picks.js" in page
    assert all(one.range is not None for one in shown.pick.worth)
    assert "changed since" not in page
    listed = client.get(f"/players/{armed.pk}/pick/").content.decode()
    assert f"{shown.pick.round:.2f} strokes a round, proven under its model and inputs" in listed
    Club.objects.filter(player=armed, name="8 iron").update(loft_deg=36.0)
    assert "changed since" in client.get(f"/players/{armed.pk}/pick/{run.pk}/").content.decode()


def test_a_club_is_ticked_in_and_out_and_nothing_is_stored(
    client: Client, armed: Player, kept: CourseFile
) -> None:
    run = kept_pick(armed, kept)
    shown = picks.shown_of(run)
    path = f"/players/{armed.pk}/pick/{run.pk}/"
    picked = [i for i, club in enumerate(shown.clubs) if club in shown.pick.clubs]
    works = Evaluator(invented(shown.clubs))
    left = picked[1:]
    sent = {"ticked": "1", "club": [str(i) for i in left]}
    part = client.get(path, sent, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in part
    strokes = float(works.strokes([sum(1 << i for i in left)])[0])
    assert f"{strokes:.2f} strokes a round" in part
    more, rest = strokes - shown.pick.round, part.split("more than the picked bag")[0]
    assert f"{more:.3f} (" in rest, "with its range"
    assert shown.clubs[picked[0]] in part.split("Out:")[1]
    whole = client.get(path, sent).content.decode()
    assert part.strip()[:200] in whole, "the same without a script"
    everything = {"ticked": "1", "club": [str(i) for i in range(len(shown.clubs))]}
    part = client.get(path, everything, headers={"HX-Request": "true"}).content.decode()
    assert "Not an allowed bag: 10 clubs with the putter, at most 7." in part
    assert "it does not compete" in part
    for wrong in ({"ticked": "1"}, {"ticked": "1", "club": ["99"]}, {"ticked": "1", "club": ["x"]}):
        part = client.get(path, wrong, headers={"HX-Request": "true"}).content.decode()
        assert "Tick at least one club" in part
    run.refresh_from_db()
    assert picks.shown_of(run) == shown


def test_a_stopped_search_keeps_its_bag_says_so_and_goes_on(
    client: Client, armed: Player, kept: CourseFile, nobody_works: list[int], no_holes: None,
    monkeypatch: pytest.MonkeyPatch, django_capture_on_commit_callbacks: Callable[..., AbstractContextManager[object]],
) -> None:  # fmt: skip
    monkeypatch.setattr("bagwright.pick.best.FEW", 0)
    run = picks.start(None, asked_for(armed, kept))
    picks.stop(None, PickRun.objects.get(pk=run.pk))
    run.refresh_from_db()
    assert run.state == "stopped", "one that waits has nothing to keep"
    run = picks.start(None, asked_for(armed, kept))
    picks._STOPPED.add(run.pk)
    picks.work(run.pk)
    run.refresh_from_db()
    path = f"/players/{armed.pk}/pick/{run.pk}/"
    page = client.get(path).content.decode()
    assert "Not proven: a better one could save up to" in page
    assert "Search on" in page
    picks._STOPPED.clear()
    with django_capture_on_commit_callbacks(execute=True):
        client.post(path, {"on": "1"})
    assert nobody_works[-1] == run.pk
    monkeypatch.setattr(PickInputs, "stated", None)
    picks.work(run.pk)
    run.refresh_from_db()
    shown = picks.shown_of(run)
    assert shown.pick.optimal, "it went on from where it was left, without the holes"
    whole = kept_pick(armed, kept)
    assert shown.pick.clubs == picks.shown_of(whole).pick.clubs
    assert client.post(path, {"on": "1"}).status_code == 400, "a proven search has nothing to go on with"


def test_only_the_newest_pick_keeps_its_problem(
    client: Client, armed: Player, kept: CourseFile, nobody_works: list[int], no_holes: None
) -> None:
    old = kept_pick(armed, kept)
    run = picks.start(None, asked_for(armed, kept, slots=6))
    picks.work(run.pk)
    assert [one.run_id for one in PickProblem.objects.all()] == [run.pk]
    page = client.get(f"/players/{armed.pk}/pick/{old.pk}/").content.decode()
    assert "A newer pick took its place" in page
    assert "What each club is worth" in page


def test_what_goes_wrong_is_said_and_the_unforeseen_tells_nothing(
    client: Client, armed: Player, kept: CourseFile, nobody_works: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    run = picks.start(None, asked_for(armed, kept))

    def broken(*words: object) -> object:
        raise RuntimeError("secret")

    monkeypatch.setattr(PickInputs, "stated", broken)
    picks.work(run.pk)
    page = client.get(f"/players/{armed.pk}/pick/{run.pk}/").content.decode()
    assert "It could not be worked out." in page
    assert "secret" not in page
    cut = PickRun.objects.create(player=armed, asked=run.asked, inputs="x", state="running")
    assert "stopped before the end" in client.get(f"/players/{armed.pk}/pick/{cut.pk}/").content.decode()


def test_the_brief_knows_the_course_of_the_newest_pick(
    client: Client, visit: Visit, candidates: list[Club], kept: CourseFile
) -> None:
    path = reverse("brief", args=[visit.pk])
    assert "On the course, before the first ball" not in client.get(path).content.decode()
    playing.play(None, visit.player, kept, "white", 1.0)
    assert "which builds are not worth hitting" in client.get(path).content.decode()
    run = kept_pick(visit.player, kept, slots=9)
    page = client.get(path).content.decode()
    told = page.split('id="on-course"')[1].split("</section>")[0]
    for club in candidates:
        assert club.name in told
    assert "Left empty it costs" in told
    assert f"/pick/{run.pk}/" in told
    # By hand: the bag with each build, the rest as it is carried today.
    shown = picks.shown_of(run)
    problem = invented(shown.clubs)
    names = [club.name for club in candidates]
    rest = [club for club in shown.today if club not in names]
    costs = Evaluator(problem).strokes([problem.bag([*rest, name]) for name in names])
    for name, more in zip(names, costs - costs.min(), strict=True):
        row = told.split(f"<bdi>{name}</bdi>")[1].split("</tr>")[0]
        assert (f"{more:.3f} (" if more > 0.0 else "the fewest strokes of all") in row
    Club.objects.filter(pk=candidates[0].pk).update(loft_deg=48.0)
    assert "On the course, before the first ball" not in client.get(path).content.decode(), "it is stale"


def test_a_stranger_sees_no_pick(armed: Player, kept: CourseFile, settings: object) -> None:
    run = kept_pick(armed, kept)
    other = Account.objects.create_user("charlie", role="coach")
    client = Client()
    settings.SHOP = True  # type: ignore[attr-defined]
    client.force_login(other)
    for more in ("", f"{run.pk}/", f"{run.pk}/state/"):
        assert client.get(f"/players/{armed.pk}/pick/{more}").status_code == 404
    mine = Player.objects.create(coach=other, name="Kim Example", hand="right")
    assert client.get(f"/players/{mine.pk}/pick/{run.pk}/").status_code == 404, "only with its own player"


def test_a_kept_problem_and_proof_come_back_the_same(armed: Player, kept: CourseFile) -> None:
    run = kept_pick(armed, kept)
    row = PickProblem.objects.get(run=run)
    shown = picks.shown_of(run)
    problem, proof = pick_kept.problem_of(bytes(row.problem)), pick_kept.proof_of(bytes(row.proof))
    assert problem.digest() == proof.digest == shown.pick.problem
    assert proof.whole
    assert problem.names(proof.best) == shown.pick.clubs
    again = pick_kept.stated_of(bytes(row.problem), bytes(row.draws), ())
    assert again.response.shape[0] == len(problem.club)
    assert again.doubt.clubs == problem.clubs
