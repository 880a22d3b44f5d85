"""Names in a shot table that are no club of the bag: asked for, everything else joins, nothing is lost."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from bagwright.bay import tables
from bagwright.errors import InputError
from bagwright.store.models import Club, Import, Visit, WaitingTable

pytestmark = pytest.mark.django_db
TABLE = (
    "Club,Carry (yd),Side (yd)\nGap wedge,96,2 R\nOld faithful,150,3 L\n50 cavity,93,1 R\nOld faithful,152,0\n"
    "Thing,120,4 R\n"
)
FAITHFUL, THING = "answer-which club: Old faithful", "answer-which club: Thing"


def upload(client: Client, visit: Visit, text: str = TABLE, name: str = "visit.csv") -> str:
    sent = {"table": SimpleUploadedFile(name, text.encode())}
    answer = client.post(f"/visits/{visit.pk}/table/", sent)
    return answer.content.decode()


def clubs_hit(visit: Visit) -> list[str]:
    return list(visit.shots.order_by("number").values_list("club__name", flat=True))


def test_one_unknown_name_holds_up_its_own_rows_only(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    html = upload(client, visit)
    assert "2 new balls" in html
    assert clubs_hit(visit) == ["Gap wedge", "50 cavity"]
    assert "2 names are no clubs of this bag" in html
    waiting = WaitingTable.objects.get()
    assert bytes(waiting.content) == TABLE.encode(), "kept whole: nobody has to send it again"
    path = f"/visits/{visit.pk}/table/"
    iron = visit.player.clubs.get(name="6 iron")
    html = client.post(path, {"waiting": waiting.pk, FAITHFUL: iron.pk}).content.decode()
    assert "1 name is no club of this bag" in html
    assert clubs_hit(visit) == ["Gap wedge", "50 cavity", "6 iron", "6 iron"]
    html = client.post(path, {"waiting": waiting.pk, THING: "out"}).content.decode()
    assert "1 row of “Thing” left out, as you said" in html
    assert not WaitingTable.objects.exists()
    assert visit.shots.count() == 4
    assert Import.objects.latest("pk").account["names_left_out"] == {"Thing": 1}


def test_a_name_becomes_a_new_candidate_and_a_longer_table_asks_no_more(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    upload(client, visit)
    waiting = WaitingTable.objects.get()
    sent = {"waiting": waiting.pk, FAITHFUL: "new:hybrid", THING: "out"}
    html = client.post(f"/visits/{visit.pk}/table/", sent).content.decode()
    assert "Old faithful" in html
    made = visit.player.clubs.get(name="Old faithful")
    assert (made.kind, made.status) == ("hybrid", "candidate")
    longer = tables.take_table(visit, "visit.csv", (TABLE + "Old faithful,149,0\nThing,99,0\n").encode())
    assert (longer.joined, longer.known, longer.asked, longer.by_name) == (1, 4, (), (("Thing", 2),))


def test_what_was_answered_stays_where_another_answer_cannot_be(
    client: Client, visit: Visit, candidates: list[Club], left_player: object
) -> None:
    upload(client, visit)
    waiting = WaitingTable.objects.get()
    sent = {"waiting": waiting.pk, FAITHFUL: "new:hybrid", THING: "999999"}
    answer = client.post(f"/visits/{visit.pk}/table/", sent)
    assert answer.status_code == 422
    html = answer.content.decode()
    assert "It was not said which club “Thing” is." in html
    assert re.search(r'<option value="new:hybrid" selected>', html), "the right answer is kept"
    assert visit.shots.count() == 2


def test_a_wrong_file_or_folder_comes_back_with_its_form(client: Client, visit: Visit) -> None:
    for name, body in (("visit.exe", b"MZ"), ("visit.xlsx", b"not a workbook"), ("visit.csv", b"")):
        answer = client.post(f"/visits/{visit.pk}/table/", {"table": SimpleUploadedFile(name, body)})
        assert answer.status_code == 422, name
        html = answer.content.decode()
        assert 'id="table-wrong"' in html
        assert '<input type="file"' in html
    answer = client.post(f"/visits/{visit.pk}/table/", {})
    assert "No file was sent." in answer.content.decode()
    answer = client.post(f"/visits/{visit.pk}/table/", {"folder": "/nowhere/at/all"})
    html = answer.content.decode()
    assert answer.status_code == 422
    assert 'value="/nowhere/at/all"' in html
    assert 'id="folder-wrong"' in html


def test_what_waits_is_found_again_or_let_go(client: Client, visit: Visit, candidates: list[Club]) -> None:
    upload(client, visit)
    path = f"/visits/{visit.pk}/table/"
    assert "Tables that wait for an answer" in client.get(path).content.decode()
    waiting = WaitingTable.objects.get()
    before = visit.shots.count()
    html = client.post(path, {"waiting": waiting.pk}).content.decode()
    assert "What visit.csv leaves open" in html
    assert visit.shots.count() == before
    client.post(path, {"let-go": waiting.pk})
    assert not WaitingTable.objects.exists()
    assert visit.shots.count() == before
    gone = client.post(path, {"waiting": waiting.pk, THING: "out"})
    assert gone.status_code == 422
    assert "does not wait any more" in gone.content.decode()
    with pytest.raises(InputError):
        tables.take_again(visit, waiting.pk, {})


def test_an_open_question_keeps_the_file_and_is_answered_without_it(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    html = upload(client, visit, "Club,Carry,Side\nGap wedge,96,2 R\n50 cavity,93,3 L\n")
    assert "Nothing joined yet" in html
    names = re.findall(r'name="(answer-[^"]+)" value="([^"]+)"', html)
    waiting = WaitingTable.objects.get()
    answers = dict(reversed(names))
    html = client.post(f"/visits/{visit.pk}/table/", {"waiting": waiting.pk, **answers}).content.decode()
    assert "2 new balls" in html
    assert not WaitingTable.objects.exists()


def test_a_watched_table_asks_once_and_a_broken_one_holds_up_no_other(
    client: Client, visit: Visit, candidates: list[Club], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tables, "SETTLED_S", 0.0)
    tables.watch(visit, str(tmp_path))
    (tmp_path / "a.xlsx").write_bytes(b"not a workbook")
    (tmp_path / "b.csv").write_text(TABLE)
    html = client.post(f"/visits/{visit.pk}/table/look/").content.decode()
    assert "a.xlsx" in html
    assert "2 new balls" in html
    assert "Answer what is asked" in html
    visit.refresh_from_db()
    again = tables.look(visit)
    assert [one.label for one in again] == ["a.xlsx"], "the table that waits is not taken again"
    (tmp_path / "b.csv").write_text(TABLE + "Gap wedge,97,0\n")
    assert [one.joined for one in tables.look(visit) if one.label == "b.csv"] == [1]
    assert WaitingTable.objects.count() == 1


def test_asking_again_makes_no_second_table_of_it(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    upload(client, visit)
    waiting = WaitingTable.objects.get()
    for _again in range(3):
        client.post(f"/visits/{visit.pk}/table/", {"waiting": waiting.pk})
    upload(client, visit)
    assert [one.joined for one in Import.objects.all()] == [2]
    assert visit.shots.filter(imported=Import.objects.get()).count() == 2
