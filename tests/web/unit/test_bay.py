"""Shots in the bay: once, in order of arrival, undone and redone, edited without losing what was there."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.test import AsyncClient, Client
from django.utils import timezone
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from bagwright.bay import live, shots
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.bay.figurewords import NAMES
from bagwright.bay.shots import Entry
from bagwright.errors import InputError
from bagwright.shots.line import LineForm, dump_form
from bagwright.shots.record import MEASURES
from bagwright.store.models import Account, Club, Player, ShotRecord, Visit
from bagwright.units import M_PER_YD
from bagwright.web.views import bay_screen, bay_worker


def entry(club: Club, key: str, carry_m: float = 90.0, **more: object) -> Entry:
    return Entry(key, club.pk, {"carry_m": carry_m, "offline_m": -2.0}, **more)  # type: ignore[arg-type]


@pytest.mark.django_db
def test_a_typed_line_is_stored_in_si(client: Client, visit: Visit, candidates: list[Club]) -> None:
    answer = client.post(
        f"/visits/{visit.pk}/shots/",
        {"key": "page-0001", "club": candidates[1].pk, "swing": "stock", "line": "168 12R 84"},
        headers={"Accept": "application/json"},
    )
    assert (answer.status_code, answer.json()) == (201, {"number": 1, "new": True, "revision": 1})
    shot = ShotRecord.objects.get()
    assert shot.carry_m == pytest.approx(168 * M_PER_YD)
    assert shot.offline_m == pytest.approx(12 * M_PER_YD)
    again = client.post(
        f"/visits/{visit.pk}/shots/",
        {"key": "page-0001", "club": candidates[1].pk, "swing": "stock", "line": "168 12R 84"},
        headers={"Accept": "application/json"},
    )
    assert (again.status_code, again.json()["new"]) == (200, False)
    assert ShotRecord.objects.count() == 1


@pytest.mark.django_db
def test_a_line_in_metres_with_decimal_comma_for_a_german_page(
    client: Client, visit: Visit, candidates: list[Club], account: Account
) -> None:
    account.units, account.language = "metres", "de"
    account.save()
    sent = {"key": "page-0002", "club": candidates[1].pk, "line": "153,6 11,0 links 37,5"}
    assert client.post(f"/visits/{visit.pk}/shots/", sent).status_code == 302
    shot = ShotRecord.objects.get()
    assert (shot.carry_m, shot.offline_m, shot.ball_speed_mps) == pytest.approx((153.6, -11.0, 37.5))


@pytest.mark.django_db
def test_a_wrong_line_names_its_piece_and_stores_nothing(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    sent = {"key": "page-0003", "club": candidates[1].pk, "line": "168 12 84"}
    answer = client.post(f"/visits/{visit.pk}/shots/", sent, headers={"Accept": "application/json"})
    assert answer.status_code == 400
    error = answer.json()["error"]
    assert "says no side" in error["message"]
    assert str(sent["line"])[error["start"] : error["end"]] == "12"
    assert ShotRecord.objects.count() == 0


@pytest.mark.django_db
def test_marks_edits_and_their_way_back(visit: Visit, candidates: list[Club], account: Account) -> None:
    shot = shots.add_shot(visit, account, entry(candidates[0], "key-00001")).shot
    marked = shots.mark_shot(account, shot, 1, "mishit", "thin")
    assert (marked.mark, marked.mark_reason, marked.version) == ("mishit", "thin", 2)
    edited = shots.edit_shot(account, marked, 2, {"carry_m": 70.0, "club_id": candidates[1].pk})
    assert edited.club_id == candidates[1].pk
    with pytest.raises(ChangedMeanwhileError):
        shots.edit_shot(account, shot, 1, {"carry_m": 60.0})
    assert shots.undo(account, visit) is not None
    back = ShotRecord.objects.get(pk=shot.pk)
    assert (back.carry_m, back.club_id, back.mark) == (90.0, candidates[0].pk, "mishit")
    assert shots.undo(account, visit) is not None
    assert ShotRecord.objects.get(pk=shot.pk).mark == ""
    assert shots.redo(account, visit) is not None
    assert shots.redo(account, visit) is not None
    assert ShotRecord.objects.get(pk=shot.pk).carry_m == 70.0
    assert shots.redo(account, visit) is None
    assert [c.what for c in shot.changes.order_by("pk")] == ["shot-added", "shot-edited", "shot-edited"]


FIGURES = {
    "carry_m": 91.234567, "offline_m": -3.456789, "ball_speed_mps": 38.765432, "spin_rpm": 8123.4567,
    "launch_rad": 0.4567891,
}  # fmt: skip


@pytest.mark.django_db
def test_saving_an_unchanged_edit_loses_nothing(
    client: Client, visit: Visit, candidates: list[Club], account: Account
) -> None:
    shot = shots.add_shot(visit, account, Entry("key-00001", candidates[0].pk, FIGURES)).shot
    page = client.get(f"/shots/{shot.pk}/").context or {}
    assert page["line"].split()[:2] == ["99.78", "3.78L"], "two decimals, no more"
    sent = {"version": shot.version, "line": page["line"], "swing": "stock", "club": candidates[0].pk}
    assert client.post(f"/shots/{shot.pk}/", sent).status_code == 302
    kept = ShotRecord.objects.get(pk=shot.pk)
    assert {name: getattr(kept, name) for name in FIGURES} == FIGURES
    other = page["line"].replace("3.78L", "4L").replace(" s8123.46", "")
    sent |= {"version": kept.version, "line": other}
    assert client.post(f"/shots/{shot.pk}/", sent).status_code == 302
    now = ShotRecord.objects.get(pk=shot.pk)
    assert now.offline_m == pytest.approx(-4 * M_PER_YD)
    assert now.spin_rpm is None, "a figure that was taken out of the line is gone"
    assert (now.carry_m, now.launch_rad) == (FIGURES["carry_m"], FIGURES["launch_rad"])


@pytest.mark.django_db
def test_the_form_s_page_keeps_what_it_does_not_ask(client: Client, visit: Visit) -> None:
    kept = dump_form(
        LineForm(
            ("carry_m", "offline_m", "attack_rad"), dict(LineForm.usual().units), tags={"x": "spin_rpm"},
            needed=("carry_m", "offline_m"), decimal_mark=",",
        )
    )  # fmt: skip
    Visit.objects.filter(pk=visit.pk).update(entry_form=kept)
    sent = {"place-carry_m": "2", "place-launch_rad": "1", "unit-carry_m": "m", "left": "L", "right": "R"}
    assert client.post(f"/visits/{visit.pk}/form/", sent).status_code == 302
    visit.refresh_from_db()
    now = visit.entry_form
    assert now is not None
    assert (now["tags"], now["decimal_mark"]) == ({"x": "spin_rpm"}, ",")
    assert now["order"] == ["launch_rad", "carry_m", "attack_rad"]
    assert now["needed"] == ["carry_m"], "a figure without a place cannot be needed"
    assert (now["units"]["carry_m"], now["units"]["ball_speed_mps"]) == ("m", "mph")


@pytest.mark.django_db
def test_a_line_names_its_club_in_german(client: Client, visit: Visit, candidates: list[Club]) -> None:
    """The club that is typed counts, not the one in turn; a name that fits none or several is asked."""
    bag = [
        Club.objects.create(player=visit.player, name=name, kind="iron", number=number)
        for name, number in (("Eisen 11", "11"), ("12 iron", "12"), ("12 iron old", "12"))
    ]
    Visit.objects.filter(pk=visit.pk).update(entry_form=dump_form(LineForm.usual("metres", "de")))

    def sent(key: str, line: str) -> tuple[int, dict[str, Any]]:
        answer = client.post(
            f"/visits/{visit.pk}/shots/",
            {"key": key, "club": candidates[0].pk, "swing": "stock", "line": line},
            headers={"Accept": "application/json"},
        )
        return answer.status_code, answer.json()

    assert sent("page-0001", "11er Eisen 153 5re dünn")[0] == 201
    shot = ShotRecord.objects.get()
    assert (shot.club, shot.carry_m, shot.offline_m, shot.mark_reason) == (bag[0], 153.0, 5.0, "thin")
    status, told = sent("page-0002", "Eisen 12 140 2L")
    assert status == 400
    assert "12 iron, 12 iron old" in told["error"]["message"]
    assert (told["error"]["start"], told["error"]["end"]) == (0, 8)
    status, told = sent("page-0003", "Holz 9 195 2L")
    assert (status, "Holz 9" in told["error"]["message"]) == (400, True)
    status, told = sent("page-0004", "Eisen 11 153 5")
    assert (status, told["error"]["start"], told["error"]["end"]) == (400, 13, 14)
    assert sent("page-0005", "12 Iron Old 140 2L")[0] == 201
    assert ShotRecord.objects.count() == 2
    page = client.get(f"/visits/{visit.pk}/bay/").content.decode()
    assert 'data-word="dünn"' in page, "the keys write the form's own words"


@pytest.mark.django_db
def test_a_shot_taken_out_stays_in_the_visit(visit: Visit, candidates: list[Club], account: Account) -> None:
    shot = shots.add_shot(visit, account, entry(candidates[0], "key-00001")).shot
    shots.remove_shot(account, shot)
    assert ShotRecord.objects.get().undone_at is not None
    shots.remove_shot(account, shot, back=True)
    assert ShotRecord.objects.get().undone_at is None


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"values": {"carry_m": float("nan")}}, "figure"),
        ({"values": {"carry_m": 1e400}}, "figure"),
        ({"values": {"carry_m": -3.0}}, "figure"),
        ({"values": {}}, "without a figure"),
        ({"key": "x"}, "no key"),
        ({"key": "a b c d e f g"}, "no key"),
        ({"swing": "wild"}, "no swing"),
        ({"mark": "mishit", "reason": "unlucky"}, "no kind of mishit"),
        ({"club_id": 10**9}, "not in the player's bag"),
    ],
)
def test_what_cannot_be_is_refused(
    visit: Visit, candidates: list[Club], change: dict[str, object], said: str
) -> None:
    from dataclasses import replace

    with pytest.raises(InputError, match=said):
        shots.add_shot(visit, None, replace(entry(candidates[0], "key-00001"), **change))  # type: ignore[arg-type]
    assert ShotRecord.objects.count() == 0


@pytest.mark.django_db
def test_another_player_s_club_is_refused(visit: Visit, left_player: Player, account: Account) -> None:
    other = Club.objects.create(player=left_player, name="7 iron", kind="iron")
    with pytest.raises(InputError, match="not in the player's bag"):
        shots.add_shot(visit, account, entry(other, "key-00001"))


class TestSteps(TestCase):
    """Any mixture of entering, marking, taking out, undo and redo keeps every shot and the count."""

    @given(st.lists(st.sampled_from(["add", "mark", "out", "back", "undo", "redo"]), max_size=25))
    @example(["add", "undo", "out"])
    @settings(max_examples=40, suppress_health_check=list(HealthCheck))
    def test_no_shot_is_lost_or_doubled(self, steps: list[str]) -> None:
        account = Account.objects.create_user("this machine", role="owner", single=True)
        player = Player.objects.create(coach=account, name="Robin Example", hand="right")
        club = Club.objects.create(player=player, name="7 iron", kind="iron")
        visit = Visit.objects.create(player=player, started_at=timezone.now())
        added = 0
        for step in steps:
            last = visit.shots.order_by("number").last()
            if step == "add":
                shots.add_shot(visit, account, entry(club, f"key-{added:05d}"))
                added += 1
            elif step == "undo":
                shots.undo(account, visit)
            elif step == "redo":
                shots.redo(account, visit)
            elif last is not None and step == "mark":
                shots.mark_shot(account, last, last.version, "mishit", "toe")
            elif last is not None:
                shots.remove_shot(account, last, back=step == "back")
        visit.refresh_from_db()
        assert visit.shots.count() == visit.shot_count == added
        assert list(visit.shots.order_by("number").values_list("number", flat=True)) == list(
            range(1, added + 1)
        )
        while shots.undo(account, visit) is not None:
            pass
        assert visit.shots.filter(undone_at__isnull=True).count() == 0
        while shots.redo(account, visit) is not None:
            pass
        assert visit.shots.count() == added


@pytest.mark.django_db(transaction=True)
def test_a_stream_tells_of_a_ball_at_once_and_resumes(visit: Visit, candidates: list[Club]) -> None:
    async def listen() -> tuple[list[bytes], list[bytes]]:
        client = AsyncClient()
        answer = await client.get(f"/visits/{visit.pk}/live/?seen={visit.revision}")
        assert answer["Content-Type"] == "text/event-stream"
        parts = aiter(answer.streaming_content)  # type: ignore[attr-defined]
        first = [await asyncio.wait_for(anext(parts), 5)]
        from asgiref.sync import sync_to_async

        await sync_to_async(shots.add_shot)(visit, None, entry(candidates[0], "key-00001"))
        first.append(await asyncio.wait_for(anext(parts), 5))
        again = await client.get(f"/visits/{visit.pk}/live/", headers={"Last-Event-ID": "0"})
        late = aiter(again.streaming_content)  # type: ignore[attr-defined]
        return first, [await asyncio.wait_for(anext(late), 5) for _ in range(2)]

    told, resumed = asyncio.run(listen())
    assert told[0].startswith(b"retry:")
    assert b"event: changed" in told[1]
    assert b"event: changed" in resumed[1]


@pytest.mark.django_db(transaction=True)
def test_a_quiet_stream_says_that_it_is_there(visit: Visit, monkeypatch: pytest.MonkeyPatch) -> None:
    """As an event: a comment would not reach the page, which tells a faded link by the silence."""
    monkeypatch.setattr("bagwright.web.views.live.BEAT_S", 1.0)

    async def listen() -> list[bytes]:
        answer = await AsyncClient().get(f"/visits/{visit.pk}/live/?seen={visit.revision}")
        parts = aiter(answer.streaming_content)  # type: ignore[attr-defined]
        return [await asyncio.wait_for(anext(parts), 5) for _ in range(2)]

    assert asyncio.run(listen())[1] == b"event: here\ndata: -\n\n"


@pytest.mark.django_db
def test_the_player_s_screen_shows_nothing_private(
    client: Client, visit: Visit, candidates: list[Club], add_shots: Callable[..., list[ShotRecord]]
) -> None:
    Player.objects.filter(pk=visit.player_id).update(
        injury="left elbow", goals="break 80", contact="r@example.org"
    )
    Club.objects.filter(player=visit.player).update(price=149.0)
    add_shots(visit, candidates[0], 3, 90.0)
    page = client.get(f"/visits/{visit.pk}/screen/").content.decode()
    for private in ("Robin", "elbow", "break 80", "example.org", "149", "handicap"):
        assert private not in page
    assert "yd" in page
    Visit.objects.filter(pk=visit.pk).update(hide_numbers=True)
    hidden = client.get(f"/visits/{visit.pk}/screen/").content.decode()
    assert "\u00a0yd" not in hidden


@pytest.mark.parametrize(("units", "unit", "metres"), [("yards", "yd", M_PER_YD), ("metres", "m", 1.0)])
def test_the_player_s_screen_has_round_carries_and_sides_at_its_edges(
    client: Client,
    visit: Visit,
    candidates: list[Club],
    account: Account,
    units: str,
    unit: str,
    metres: float,
) -> None:
    account.units = units
    account.save()
    for i, (carry, side) in enumerate(((88.0, -6.0), (112.0, 12.0))):
        values = {"carry_m": carry * metres, "offline_m": side * metres}
        shots.add_shot(visit, account, Entry(f"screen-{i}", candidates[0].pk, values))
    page = client.get(f"/visits/{visit.pk}/screen/").content.decode()
    found = {name: float(y) for y, name in re.findall(r'y="([\d.]+)" class="figure">(\d+(?: \w+)?)<', page)}
    # By hand: from 88 to 112 in steps of 5; 12 to either side in steps of 5.
    assert list(found) == ["90", "95", "100", "105", f"110 {unit}"]
    # 88 lies at 94, 112 at 10 (84 for 24 of them): 100 in the middle at 52.
    assert found["100"] == pytest.approx(52.0, abs=0.1)
    assert re.findall(r'class="figure side">(\d+)<', page) == ["10", "5", "5", "10"]


@pytest.mark.parametrize(
    ("low", "high", "figures"),
    [
        (88.0, 112.0, [90, 95, 100, 105, 110]),
        (-3.0, 3.0, [-2, 0, 2]),
        (40.0, 290.0, [50, 100, 150, 200, 250]),
    ],
)
def test_round_figures_are_few_enough_to_be_read(low: float, high: float, figures: list[int]) -> None:
    assert bay_screen.round_figures(low, high) == figures


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("units", "name", "value", "words"),
    [
        # 900 m are 984.25 yd, 200 m/s are 447.4 mph, 720 km/h (0.9144 m a yard, 1609.344 m a mile, exactly).
        ("yards", "carry_m", 900.0, "carry 984 yd"), ("metres", "carry_m", 900.0, "carry 900 m"),
        ("yards", "ball_speed_mps", 200.0, "ball speed 447 mph"),
        ("metres", "ball_speed_mps", 200.0, "ball speed 720 km/h"),
        ("yards", "launch_rad", 9.0, "launch 516 °"), ("yards", "spin_rpm", 99000.0, "spin 99000 rpm"),
        ("yards", "impact_toe_m", 0.5, "strike towards the toe 500 mm"),
        ("yards", "carry_m", float("nan"), "carry nan yd"),
    ],
)  # fmt: skip
def test_a_figure_that_cannot_be_is_said_in_the_reader_s_words_and_unit(
    visit: Visit, candidates: list[Club], account: Account, units: str, name: str, value: float, words: str
) -> None:
    account.units = units
    account.save()
    with pytest.raises(InputError) as caught:
        shots.add_shot(visit, account, Entry("far-0001", candidates[0].pk, {"carry_m": 90.0, name: value}))
    assert words in caught.value.message.replace("\xa0", " ")
    assert f"{name} =" not in caught.value.message


def test_every_measured_figure_has_its_words() -> None:
    assert set(NAMES) == set(MEASURES)


def test_a_ring_between_looking_and_waiting_is_not_missed() -> None:
    async def wait() -> tuple[bool, bool]:
        with live.BELL.heard(12345) as event:
            await asyncio.to_thread(live.BELL.ring, 12345)
            first = await live.rang(event, 2.0)
            event.clear()
            return first, await live.rang(event, 0.05)

    assert asyncio.run(wait()) == (True, False)
    assert 12345 not in live.BELL._waiting, "whoever stops listening leaves nothing behind"


@pytest.mark.django_db
def test_a_line_typed_under_another_form_is_not_misread(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    mark = (client.get(f"/visits/{visit.pk}/bay/").context or {})["pad"].form_mark
    place = {"place-carry_m": "1", "unit-carry_m": "m", "left": "L", "right": "R"}
    assert client.post(f"/visits/{visit.pk}/form/", place).status_code == 302
    sent = {"key": "page-0009", "club": candidates[1].pk, "line": "168", "form": mark}
    answer = client.post(f"/visits/{visit.pk}/shots/", sent, headers={"Accept": "application/json"})
    assert answer.status_code == 409
    assert "another form" in answer.json()["error"]["message"]
    assert ShotRecord.objects.count() == 0
    now = (client.get(f"/visits/{visit.pk}/bay/").context or {})["pad"].form_mark
    assert client.post(f"/visits/{visit.pk}/shots/", {**sent, "form": now}).status_code == 302
    assert ShotRecord.objects.get().carry_m == pytest.approx(168.0)


@pytest.mark.django_db
def test_two_browsers_edit_the_same_ball(client: Client, visit: Visit, candidates: list[Club]) -> None:
    shot = shots.add_shot(visit, None, entry(candidates[0], "key-00001")).shot
    page = client.get(f"/shots/{shot.pk}/").context or {}
    sent = {"version": shot.version, "line": page["line"], "club": candidates[0].pk, "swing": "stock"}
    assert client.post(f"/shots/{shot.pk}/", sent | {"note": "first"}).status_code == 302
    late = client.post(f"/shots/{shot.pk}/", sent | {"note": "second", "line": "90 1L"})
    assert late.status_code == 409
    text = late.content.decode()
    assert "second" in text
    assert "90 1L" in text
    assert "Stored now:" in text
    assert ShotRecord.objects.get().note == "first"


@pytest.mark.django_db
def test_what_cannot_be_is_pointed_out_and_not_marked(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    odd = Entry("key-00001", candidates[0].pk, {"carry_m": 160.0, "ball_speed_mps": 20.0})
    shots.add_shot(visit, None, odd)
    page = client.get(f"/visits/{visit.pk}/bay/").content.decode()
    assert "carry beyond what the ball speed reaches" in page
    assert ShotRecord.objects.get().mark == ""


@pytest.mark.django_db
@pytest.mark.parametrize("many", ["9" * 5000, "²", "-1", "1e3", "١"])
def test_numbers_that_are_none_are_no_error_of_the_program(
    client: Client, visit: Visit, candidates: list[Club], many: str
) -> None:
    sent = {"key": "page-0009", "club": many, "line": "90"}
    assert client.post(f"/visits/{visit.pk}/shots/", sent).status_code == 400
    assert client.get(f"/visits/{visit.pk}/bay/", {"club": many[:900]}).status_code == 200
    assert (
        client.get(
            f"/visits/{visit.pk}/live/",
            headers={"Last-Event-ID": many[:900].encode("ascii", "ignore").decode()},
        ).status_code
        == 200
    )


@pytest.mark.django_db
def test_the_worker_comes_from_the_root_and_holds_every_part_of_the_page(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    """What the bay's page loads and the worker does not keep would be missing without a link."""
    script = client.get("/worker.js")
    assert script["Content-Type"].startswith("text/javascript")
    assert script["Cache-Control"] == "no-store"
    shell = set(re.findall(r'"(/static/[^"]+)"', script.content.decode().splitlines()[0]))
    page = client.get(f"/visits/{visit.pk}/bay/").content.decode()
    assert set(re.findall(r'(?:src|href)="(/static/[^"]+)"', page)) == shell
    for path in shell:
        assert client.get(path).status_code == 200, path


def test_every_change_of_a_part_is_another_release(monkeypatch: pytest.MonkeyPatch) -> None:
    first = bay_worker.worker_text()
    whole = bay_worker.content_of
    monkeypatch.setattr(
        bay_worker, "content_of", lambda name: whole(name) + (b"/* */" if name.endswith("pad.js") else b"")
    )
    bay_worker.worker_text.cache_clear()
    second = bay_worker.worker_text()
    bay_worker.worker_text.cache_clear()
    assert first.splitlines()[0] != second.splitlines()[0]
    assert first.splitlines()[1:] == second.splitlines()[1:]


@pytest.mark.django_db
def test_only_the_bay_of_a_visit_in_hand_may_be_kept(client: Client, visit: Visit) -> None:
    paths = (f"/visits/{visit.pk}/bay/", f"/visits/{visit.pk}/screen/", "/players/", "/settings/")
    told = {path: client.get(path).headers.get("X-Bagwright-Keep") for path in paths}
    assert told == {**dict.fromkeys(paths), paths[0]: "bay"}
    page = client.get(paths[0])
    assert page["Cache-Control"] == "no-store"
    assert "Robin" not in page.content.decode(), "the page that is kept names no player"
    part = client.get(paths[0], headers={"HX-Request": "true"})
    assert "X-Bagwright-Keep" not in part.headers
    Visit.objects.filter(pk=visit.pk).update(finished_at=timezone.now())
    assert "X-Bagwright-Keep" not in client.get(paths[0]).headers
