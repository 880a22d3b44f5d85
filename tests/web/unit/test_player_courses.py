"""A player's courses: chosen, strokes asked for, worked out, stopped, kept, out of date, shown."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from unittest.mock import Mock

import numpy as np
import pytest
from django.db import OperationalError
from django.test import Client
from django.urls import reverse

from bagwright.bay import courses, playing, strokes
from bagwright.bay.round_inputs import Asked
from bagwright.report.strokes.round import Round
from bagwright.store.models import (
    Account,
    Club,
    CourseFile,
    PlayedCourse,
    Player,
    ShotRecord,
    StrokesRun,
    Visit,
)
from bagwright.web.templatetags.people import handicap
from bagwright.web.templatetags.strokes import over_par, round_words, within
from tests.web.unit.made_round import kept_run, made_round

CARD = b"hole,par,stroke index,white (yd),red (yd)\n1,3,1,150,130\n"


@pytest.fixture
def kept(db: None) -> CourseFile:
    return courses.take_in(None, "Short course", "short.csv", CARD)


@pytest.fixture
def armed(player: Player, bag_of: Callable[[Player], dict[str, Club]]) -> Player:
    bag_of(player)
    return player


@pytest.fixture
def nobody_works(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Runs are put in line, and no thread takes them."""
    line: list[int] = []

    monkeypatch.setattr(strokes, "submit", line.append)
    monkeypatch.setattr(strokes, "_MINE", set())
    return line


def test_a_course_is_chosen_with_its_tee_and_share_and_taken_off(
    client: Client, armed: Player, kept: CourseFile
) -> None:
    path = f"/players/{armed.pk}/courses/"
    assert "Tee of Short course" in client.get(f"{path}?course={kept.pk}").content.decode()
    sent = {"do": "play", "course": str(kept.pk), "tee": "white", "weight": "3"}
    assert client.post(path, sent).status_code == 302
    client.post(path, sent | {"tee": "red", "weight": "1"})
    assert [one.share for one in playing.played_by(armed)] == [0.75, 0.25]
    for wrong in ({"tee": "gold"}, {"weight": "0"}, {"weight": "nan"}, {"weight": "x"}, {"course": "9999"}):
        assert client.post(path, sent | wrong).status_code == 422
    played = PlayedCourse.objects.get(tee="red")
    client.post(path, {"do": "remove", "played": str(played.pk)})
    assert [one.share for one in playing.played_by(armed)] == [1.0]


def test_a_windy_round_is_asked_for_beside_the_calm_one_and_never_twice(
    client: Client, armed: Player, kept: CourseFile, nobody_works: list[int],
    django_capture_on_commit_callbacks: Callable[..., AbstractContextManager[object]],
) -> None:  # fmt: skip
    playing.play(None, armed, kept, "white", 1.0)
    path = f"/players/{armed.pk}/courses/"
    sent = {"do": "solve", "played": str(PlayedCourse.objects.get().pk), "wind": "10 mph", "from": "2"}
    with django_capture_on_commit_callbacks(execute=True):
        answer = client.post(path, sent)
        client.post(path, sent)
    runs = list(StrokesRun.objects.order_by("pk"))
    assert len(runs) == len(nobody_works) == 2
    calm, windy = runs
    assert calm.wind_mps is None
    # 10 mph are 4.4704 m/s exactly; two eighths of a turn are from the right.
    assert windy.wind_mps == pytest.approx(4.4704)
    assert windy.wind_from_rad == pytest.approx(np.pi / 2)
    assert calm.inputs != windy.inputs
    page = client.get(answer["Location"]).content.decode()
    assert "hx-get" in page
    assert client.get(f"{answer['Location']}state/").status_code == 200
    for wrong in ({"wind": "fast"}, {"wind": "200 mph"}, {"from": "9"}, {"played": "77"}):
        assert client.post(path, sent | wrong).status_code == 422


def test_a_run_is_stopped_and_one_that_the_program_s_end_cut_off_says_so(
    client: Client, armed: Player, kept: CourseFile, nobody_works: list[int]
) -> None:
    run = strokes.start(None, Asked(armed, kept, "white"))
    path = f"/players/{armed.pk}/strokes/{run.pk}/"
    assert "The round waits for its turn: 0 %" in client.get(path).content.decode()
    client.post(path, {"stop": "1"})
    strokes.work(run.pk)
    assert StrokesRun.objects.get(pk=run.pk).state == "stopped"
    cut = StrokesRun.objects.create(player=armed, course=kept, tee="white", inputs="x", state="running")
    page = client.get(f"/players/{armed.pk}/strokes/{cut.pk}/").content.decode()
    assert "stopped before the end" in page
    assert StrokesRun.objects.get(pk=cut.pk).state == "running", "looking changes nothing"


def test_a_bag_without_a_club_fails_with_words_and_an_unforeseen_error_tells_nothing(
    client: Client, player: Player, kept: CourseFile, nobody_works: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    run = strokes.start(None, Asked(player, kept, "white"))
    strokes.work(run.pk)
    run.refresh_from_db()
    assert run.state == "failed"
    assert run.words.startswith("The bag holds no")
    Club.objects.create(player=player, name="8 iron", kind="iron", loft_deg=35.0)
    again = strokes.start(None, Asked(player, kept, "white"))

    def broken(*words: object) -> Round:
        raise RuntimeError("secret")

    monkeypatch.setattr(strokes, "round_of", broken)
    strokes.work(again.pk)
    assert "secret" not in client.get(f"/players/{player.pk}/strokes/{again.pk}/").content.decode()
    assert StrokesRun.objects.get(pk=again.pk).state == "failed"


def test_a_kept_answer_is_shown_and_says_when_the_bag_has_changed(
    client: Client, armed: Player, kept: CourseFile
) -> None:
    run = kept_run(armed, kept)
    path = f"/players/{armed.pk}/strokes/{run.pk}/"
    page = client.get(path).content.decode()
    assert "3.2 strokes expected (+0.2 to par 3)" in page
    assert "Rule 4.3a" in page
    assert "changed since" not in page
    # The made-up tee shot is aimed 2.7 m = 3 yd right of the way, to end at its 150 yd.
    assert "3 right, at 150" in page
    assert "Aims in yd, right or left of the hole's middle line" in page
    hole = client.get(f"{path}holes/1/").content.decode()
    assert "lines of equal strokes to hole out" in hole
    assert "Rule 4.3a" in hole
    assert client.get(f"{path}holes/2/").status_code == 404
    assert client.get(f"{path}holes/1/?show=balls").status_code == 200
    pdf = client.get(f"{path}sheet/")
    assert pdf.content.startswith(b"%PDF")
    assert "/courses/" in client.get(f"/players/{armed.pk}/").content.decode()
    Club.objects.filter(player=armed, name="8 iron").update(loft_deg=36.0)
    assert "changed since" in client.get(path).content.decode()
    asked = client.get(f"{path}holes/1/spot/?at=100 0").content.decode()
    assert "Work it out again" in asked


def test_strokes_are_rounded_and_not_cut(armed: Player, kept: CourseFile) -> None:
    run = kept_run(armed, kept)
    run.result = (run.result or {}) | {"strokes": 80.28, "sd": 3.36}
    assert round_words(run) == "80.3 ± 3.4 a round"
    assert over_par(80.28, 71) == "+9.3"
    assert over_par(70.72, 71) == "−0.3"
    assert within(0.0047) == "within 0.005"
    assert handicap(14.06) == "14.1"
    assert handicap(-1.96) == "+2.0"


def test_a_partial_shot_has_its_length_in_the_reader_s_unit(
    client: Client, armed: Player, kept: CourseFile
) -> None:
    run = kept_run(armed, kept)
    plain = run.result or {}
    plain["steps"]["1"][0] |= {"shot": 1, "club": "Sand wedge", "words": "Sand wedge 18 m"}
    StrokesRun.objects.filter(pk=run.pk).update(result=plain)
    path = f"/players/{armed.pk}/strokes/{run.pk}/"
    # 18 m are 19.7 yd: a yard is 0.9144 m exactly.
    for page in (path, f"{path}holes/1/?show=plain"):
        told = client.get(page).content.decode()
        assert "Sand wedge 20 yd" in told
        assert "18 m" not in told


def test_a_hole_that_did_not_come_to_rest_is_marked_and_not_to_be_used(
    client: Client, armed: Player, kept: CourseFile
) -> None:
    run = kept_run(armed, kept)
    path = f"/players/{armed.pk}/strokes/{run.pk}/"
    listed = f"/players/{armed.pk}/courses/"
    assert "≈" not in client.get(path).content.decode()
    assert "≈" not in client.get(listed).content.decode()
    plain = run.result or {}
    plain["result"]["holes"][0]["converged"] = False
    StrokesRun.objects.filter(pk=run.pk).update(result=plain)
    assert "≈ 3.2 ± 0.7 a round" in client.get(listed).content.decode()
    page = client.get(path).content.decode()
    assert "the figures of the holes marked ≈ are not to be used" in page
    row = page.split('id="by-hole"')[1].split("<tbody>")[1].split("</tr>")[0]
    assert "≈ 3.21" in row
    assert "≈ <bdi>8 iron" in row
    assert "this hole's figures are not to be used" in row
    assert "its figures are not to be used" in client.get(f"{path}holes/1/").content.decode()


def test_what_is_kept_comes_back_the_same(armed: Player, kept: CourseFile) -> None:
    """Half precision: 11 bits, so within 1/2048 of a value; numbers exactly."""
    run = kept_run(armed, kept)
    made, back = made_round(kept, "white"), strokes.answer_of(run, 1)
    assert back.result.hole(1) == made.result.hole(1)
    assert back.steps == made.steps
    value, was = back.result.hole(1).value, made.result.hole(1).value
    assert np.array_equal(np.isnan(value), np.isnan(was))
    assert float(np.nanmax(np.abs(value / was - 1))) < 1 / 2048
    assert np.array_equal(back.result.hole(1).shot, made.result.hole(1).shot)
    assert strokes.answer_of(run).result.hole(1).value.size == 0


def test_a_hole_is_worked_out_asked_at_a_spot_and_printed(
    client: Client, player: Player, kept: CourseFile, nobody_works: list[int]
) -> None:
    for name, kind, loft in (("7 iron", "iron", 31.0), ("Sand wedge", "wedge", 55.0)):
        Club.objects.create(player=player, name=name, kind=kind, loft_deg=loft)
    run = strokes.start(None, Asked(player, kept, "white"))
    strokes.work(run.pk)
    run.refresh_from_db()
    assert (run.state, run.share, run.words) == ("done", 1.0, "")
    # A 14 handicap on one par 3 of 150 yd: over par, less than two over (common practice, no source).
    assert 3.0 < (run.result or {})["strokes"] < 5.0
    path = f"/players/{player.pk}/strokes/{run.pk}/"
    spot = client.get(f"{path}holes/1/spot/?at=60 2").content.decode()
    assert "to the pin" in spot
    assert "+0." in spot
    assert "notice" in client.get(f"{path}holes/1/spot/?at=here").content.decode()
    assert "putted" in client.get(f"{path}holes/1/spot/?at=150 0").content.decode()


def test_a_stranger_sees_no_strokes(
    armed: Player, kept: CourseFile, settings: object, account: Account
) -> None:
    run = kept_run(armed, kept)
    other = Account.objects.create_user("charlie", role="coach")
    client = Client()
    settings.SHOP = True  # type: ignore[attr-defined]
    client.force_login(other)
    for more in ("", "state/", "sheet/", "holes/1/", "holes/1/spot/"):
        assert client.get(f"/players/{armed.pk}/strokes/{run.pk}/{more}").status_code == 404
    mine = Player.objects.create(coach=other, name="Kim Example", hand="right")
    assert client.get(f"/players/{mine.pk}/strokes/{run.pk}/").status_code == 404, "only with its own player"


def test_an_answer_of_another_version_asks_to_be_worked_out_again(
    client: Client, armed: Player, kept: CourseFile
) -> None:
    run = kept_run(armed, kept)
    StrokesRun.objects.filter(pk=run.pk).update(result={**(run.result or {}), "version": "0.0"})
    page = client.get(f"/players/{armed.pk}/strokes/{run.pk}/").content.decode()
    assert "another version of the program" in page
    assert client.get(f"/players/{armed.pk}/strokes/{run.pk}/holes/1/").status_code == 400
    assert "earlier version" in client.get(f"/players/{armed.pk}/courses/").content.decode()


def test_only_the_newest_answer_keeps_its_pictures(
    client: Client, armed: Player, kept: CourseFile, nobody_works: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    old = kept_run(armed, kept)
    Club.objects.filter(player=armed, name="8 iron").update(loft_deg=36.0)
    monkeypatch.setattr(strokes, "round_of", lambda *words: made_round(kept, "white"))
    run = strokes.start(None, Asked(armed, kept, "white"))
    strokes.work(run.pk)
    assert StrokesRun.objects.get(pk=run.pk).arrays is not None
    assert StrokesRun.objects.get(pk=old.pk).arrays is None
    assert "3.2 strokes" in client.get(f"/players/{armed.pk}/strokes/{old.pk}/").content.decode()
    assert client.get(f"/players/{armed.pk}/strokes/{old.pk}/holes/1/").status_code == 400


def test_how_well_the_shots_know_a_round_is_asked_and_kept(
    client: Client, player: Player, kept: CourseFile, visit: Visit, nobody_works: list[int],
    add_shots: Callable[..., list[ShotRecord]], monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setattr(strokes, "_DOUBTS", {})
    run = kept_run(player, kept)
    path = f"/players/{player.pk}/strokes/{run.pk}/"
    assert client.post(path, {"doubt": "1"}).status_code == 400, "without shots nothing is known of it"
    add_shots(visit, visit.player.clubs.get(name="8 iron"), 6, 130.0)
    run = kept_run(player, kept)
    path = f"/players/{player.pk}/strokes/{run.pk}/"
    client.post(path, {"doubt": "1"})
    assert "hx-get" in client.get(path).content.decode()
    costs = iter((3.0, 3.1, 3.2, 3.3, 3.4))
    monkeypatch.setattr(strokes, "round_of", lambda *words: made_round(kept, "white", next(costs)))
    strokes.work_doubt(run.pk)
    found = strokes.doubt_of_run(StrokesRun.objects.get(pk=run.pk))
    assert found is not None
    # By hand: the squares about 3.2 are 0.04 + 0.01 + 0 + 0.01 + 0.04, over four.
    assert found.strokes == pytest.approx(0.025**0.5)
    page = client.get(path).content.decode()
    assert "± 0.2 strokes" in page
    assert "hx-get" not in page


def test_a_stop_that_came_too_late_does_not_stop_what_is_asked_next(
    player: Player, kept: CourseFile, visit: Visit, nobody_works: list[int],
    add_shots: Callable[..., list[ShotRecord]], monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.setattr(strokes, "_DOUBTS", {})
    add_shots(visit, visit.player.clubs.get(name="8 iron"), 6, 130.0)
    run = kept_run(player, kept)
    strokes.stop(None, run)
    strokes.ask_doubt(None, run)

    def asks(course: object, tee: str, table: object, report: object, stopped: Callable[[], bool]) -> Round:
        assert not stopped()
        return made_round(kept, "white")

    monkeypatch.setattr(strokes, "round_of", asks)
    strokes.work_doubt(run.pk)
    assert strokes.doubt_of_run(StrokesRun.objects.get(pk=run.pk)) is not None


def test_a_run_that_cannot_be_taken_up_leaves_the_others_their_turn(
    armed: Player, kept: CourseFile, nobody_works: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    run = strokes.start(None, Asked(armed, kept, "white"))

    def locked(run_id: int) -> None:
        raise OperationalError("database is locked")

    monkeypatch.setattr(strokes, "work", locked)
    monkeypatch.setattr(strokes, "connection", Mock())
    monkeypatch.setattr(strokes, "close_old_connections", Mock())
    strokes.take(run.pk)
    assert strokes.state_of(StrokesRun.objects.get(pk=run.pk)) == "stopped", "and may be asked for again"


def test_a_course_s_page_leads_to_those_who_play_it_and_tells_no_others(
    client: Client, armed: Player, left_player: Player, kept: CourseFile
) -> None:
    path = f"/courses/{kept.pk}/"
    assert "None of your players plays here yet." in client.get(path).content.decode()
    playing.play(None, armed, kept, "white", 1.0)
    playing.play(None, armed, kept, "red", 1.0)
    page = client.get(path).content.decode()
    assert page.count(f'href="/players/{armed.pk}/courses/"') == 1
    assert "Kim Example" not in page
    other = Account.objects.create_user("other", role="coach")
    playing.play(None, left_player, kept, "white", 1.0)
    Player.objects.filter(pk=left_player.pk).update(coach=other)
    assert "Kim Example" not in client.get(path).content.decode(), "another account's player"


def test_a_hole_sheet_is_listed_at_hand_over(
    client: Client, visit: Visit, kept: CourseFile, add_shots: Callable[..., list[ShotRecord]],
    candidates: list[Club],
) -> None:  # fmt: skip
    add_shots(visit, candidates[0], 3, 100.0)
    armed = visit.player
    path = reverse("handover", args=[visit.pk])
    assert "Hole sheet" not in client.get(path).content.decode()
    old, new = kept_run(armed, kept), kept_run(armed, kept)
    page = client.get(path).content.decode()
    assert f'href="/players/{armed.pk}/strokes/{new.pk}/sheet/"' in page
    assert f"strokes/{old.pk}/" not in page
