"""Shot tables join a visit: uploaded or found in a watched folder, each row once, questions before anything."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from bagwright.bay import tables
from bagwright.errors import InputError, ReadError
from bagwright.store.models import Club, Import, ShotRecord, Visit

TABLE = "Club,Carry (yd),Side (yd),Remark\nGap wedge,96,2 R,\n50 cavity,93,3 L,\nGap wedge,80,1 R,thin\n"


def upload(client: Client, visit: Visit, text: str, name: str = "visit.csv", **more: str) -> str:
    sent = {"table": SimpleUploadedFile(name, text.encode()), **more}
    return client.post(f"/visits/{visit.pk}/table/", sent).content.decode()


@pytest.mark.django_db
def test_a_growing_table_joins_row_by_row_once(client: Client, visit: Visit, candidates: list[Club]) -> None:
    assert "3 new balls" in upload(client, visit, TABLE)
    again = upload(client, visit, TABLE + "50 cavity,95,1 R,\n")
    assert "1 new balls, 3 known already" in again
    rows = list(visit.shots.order_by("number").values_list("club__name", "mark", "mark_reason"))
    assert rows == [
        ("Gap wedge", "", ""), ("50 cavity", "", ""), ("Gap wedge", "mishit", "thin"), ("50 cavity", "", ""),
    ]  # fmt: skip
    assert [one.joined for one in Import.objects.order_by("pk")] == [3, 1]


@pytest.mark.django_db
def test_an_open_question_keeps_everything_out_until_answered(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    """Carries of 96 could be yards or metres: asked, not guessed."""
    text = "Club,Carry,Side\nGap wedge,96,2 R\n50 cavity,93,3 L\n"
    page = upload(client, visit, text)
    assert "Nothing joined yet" in page
    assert ShotRecord.objects.count() == 0
    taken = tables.take_table(visit, "visit.csv", text.encode())
    answers = {question.key: question.options[0] for question in taken.questions}
    done = tables.take_table(visit, "visit.csv", text.encode(), answers)
    assert done.joined == 2
    longer = tables.take_table(visit, "visit.csv", (text + "Gap wedge,99,1 L\n").encode())
    assert (longer.joined, longer.questions) == (1, ())


@pytest.mark.django_db
def test_a_table_that_names_no_ball_was_hit_with_the_ball_of_the_visit(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    """Else its balls are held for another ball than the typed ones, and left out of the trial."""
    Visit.objects.filter(pk=visit.pk).update(ball="range ball")
    upload(client, visit, TABLE)
    upload(client, visit, "Club,Carry (yd),Ball\n50 cavity,97,soft ball\n", "own.csv")
    balls = list(visit.shots.order_by("number").values_list("ball", flat=True))
    assert balls == ["range ball"] * 3 + ["soft ball"]


@pytest.mark.django_db
def test_a_bad_row_is_named_and_the_rest_joins(client: Client, visit: Visit, candidates: list[Club]) -> None:
    page = upload(client, visit, TABLE.replace("93,3 L", "far,3 L"))
    assert "2 new balls" in page
    assert "far" in page


@pytest.mark.django_db
@pytest.mark.parametrize(
    "name", ["../../etc/passwd.csv", "C:\\x\\y.csv", "a\u202egpj.csv", "x" * 300 + ".csv", "a\nb.csv"]
)
def test_a_file_s_name_is_a_label_and_nothing_else(visit: Visit, candidates: list[Club], name: str) -> None:
    taken = tables.take_table(visit, name, TABLE.encode())
    assert taken.joined == 3
    assert "/" not in taken.label
    assert "\\" not in taken.label
    assert taken.label.isprintable()
    assert len(taken.label) <= 120


@pytest.mark.django_db
def test_what_is_no_table_is_refused(visit: Visit) -> None:
    with pytest.raises(ReadError, match="no shot table by its name"):
        tables.take_table(visit, "visit.exe", b"MZ")
    with pytest.raises(ReadError):
        tables.take_table(visit, "visit.xlsx", b"not a workbook")
    with pytest.raises(InputError, match="no folder"):
        tables.watch(visit, "/nowhere/at/all")
    assert ShotRecord.objects.count() == 0


@pytest.mark.django_db
def test_a_watched_folder_is_taken_once(
    client: Client, visit: Visit, candidates: list[Club], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tables.watch(visit, str(tmp_path))
    assert client.post(f"/visits/{visit.pk}/table/look/").status_code == 204
    (tmp_path / "live.csv").write_text(TABLE)
    assert client.post(f"/visits/{visit.pk}/table/look/").status_code == 204, "still in writing, perhaps"
    monkeypatch.setattr(tables, "SETTLED_S", 0.0)
    (tmp_path / "notes.pdf").write_bytes(b"%PDF")
    page = client.post(f"/visits/{visit.pk}/table/look/").content.decode()
    assert "3 new balls" in page
    assert client.post(f"/visits/{visit.pk}/table/look/").status_code == 204
    (tmp_path / "live.csv").write_text(TABLE + "Gap wedge,97,0,\n")
    assert "1 new balls" in client.post(f"/visits/{visit.pk}/table/look/").content.decode()
    assert visit.shots.count() == 4


@pytest.mark.django_db
def test_a_table_without_a_carry_joins_nothing(client: Client, visit: Visit, candidates: list[Club]) -> None:
    page = upload(client, visit, "Club,Länge m,Side (yd)\nGap wedge,88,2 R\n")
    assert "No column of this table was read as a carry" in page
    assert "Länge m" in page
    assert ShotRecord.objects.count() == 0


@pytest.mark.django_db
def test_a_club_that_came_with_a_table_is_offered_to_go_when_its_balls_go(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    place = f"/visits/{visit.pk}/table/"
    upload(client, visit, "Club,Carry (yd)\n50 cavity,95\n9 iron,128\n")
    made = Club.objects.get(player=visit.player, name="9 iron")
    assert made.status == "candidate"
    assert "Clubs without a ball" not in client.get(place).content.decode()
    one = Import.objects.get()
    client.post(place, {"out": one.pk})
    page = client.get(place).content.decode()
    assert "Clubs without a ball" in page
    assert "50 cavity" not in page.partition("Clubs without a ball")[2].partition("</section>")[0], (
        "it was there before"
    )
    client.post(place, {"club-out": made.pk})
    made.refresh_from_db()
    assert made.removed_at is not None
    assert client.post(place, {"club-out": candidates[1].pk}).status_code == 422, (
        "no other club goes this way"
    )
    client.post(place, {"back": one.pk})
    assert Club.objects.get(pk=made.pk).removed_at is None, "with its balls the club is back"
    assert visit.shots.filter(undone_at__isnull=True).count() == 2


@pytest.mark.django_db
def test_a_wrong_table_is_taken_out_and_put_back_whole(
    client: Client, visit: Visit, candidates: list[Club]
) -> None:
    upload(client, visit, TABLE)
    one = Import.objects.get()
    client.post(f"/visits/{visit.pk}/table/", {"out": one.pk})
    assert visit.shots.filter(undone_at__isnull=True).count() == 0
    assert visit.shots.count() == 3
    client.post(f"/visits/{visit.pk}/table/", {"back": one.pk})
    assert visit.shots.filter(undone_at__isnull=True).count() == 3
