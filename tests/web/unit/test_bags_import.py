"""Clubs from a pasted table or a file: every line accounted for, nothing stored before it was seen."""

from __future__ import annotations

import io
from typing import Any

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from bagwright.bag.file import dump_bag
from bagwright.bay.clubtable import LIMITS, MOST_LINES, read_clubs, read_text, text_of_file
from bagwright.errors import ReadError
from bagwright.store.models import Account, Club, Player, ShotRecord, Visit

TABLE = "Club;Loft;Lie angle;Length in;Shaft\n7i;33;62.5;37.25;soft\nPW;46,5;64;35.75;"
HOSTILE = '"><script>alert(1)</script>'


def book(rows: list[list[Any]]) -> bytes:
    made = openpyxl.Workbook()
    for row in rows:
        made.active.append(row)
    stream = io.BytesIO()
    made.save(stream)
    return stream.getvalue()


@pytest.mark.parametrize("mark", ["\t", ";", "|"])
def test_one_table_under_every_mark(mark: str) -> None:
    read = read_clubs(TABLE.replace(";", mark))
    iron, wedge = read.bag.clubs
    assert (iron.name, iron.kind, iron.number, iron.build.loft_deg) == ("7i", "iron", "7", 33.0)
    assert iron.build.length_m == pytest.approx(0.94615)
    assert (wedge.number, wedge.build.loft_deg, wedge.build.shaft) == ("PW", 46.5, None)
    assert (read.lines, read.left_out, read.problems) == (2, 0, ())


def test_commas_part_columns_where_nothing_else_does() -> None:
    read = read_clubs('Club,Loft,Note\n"7 iron",33,"bent, once"\n')
    assert read.bag.clubs[0].note == "bent, once"


def test_german_headings_kinds_and_decimals() -> None:
    read = read_clubs(
        "Schläger;Art;Loft (°);Liewinkel;Länge (cm);Schaftgewicht g;Griffalter Monate;Preis;Status\n"
        "Blaues;Eisen;33,5;62,5;94,6;105,5;12;99,90;Reserve\n"
    )
    club = read.bag.clubs[0]
    assert (club.kind, club.status, club.build.loft_deg, club.build.lie_angle_deg) == (
        "iron",
        "spare",
        33.5,
        62.5,
    )
    assert club.build.length_m == pytest.approx(0.946)
    assert (club.build.shaft_weight_g, club.grip_age_months, club.price) == (105.5, 12.0, 99.9)
    assert read.problems == ()


def test_every_line_is_accounted_for() -> None:
    read = read_clubs(
        "Club;Loft;Colour;Length in;Loft\n"
        "7i;x;red;3700;1\n"
        "\n"
        "7 iron \n"
        ";30\n"
        "7i;31\n"
        "blue one;30\n"
        "9i;40;;36;;stray\n",
        there=["7 Iron"],
    )
    assert [club.name for club in read.bag.clubs] == ["7i", "9i"]
    assert (read.lines, read.left_out) == (6, 4)
    assert [p.line for p in read.problems if p.lost] == [4, 5, 6, 7]
    told = {(p.line, p.heading, p.value) for p in read.problems}
    assert {
        (1, "Colour", ""),
        (1, "Loft", ""),
        (2, "Loft", "x"),
        (2, "Length in", "3700"),
        (8, "", "stray"),
    } <= told
    assert read.bag.clubs[0].build.loft_deg is None
    assert read.bag.clubs[0].build.length_m is None


@pytest.mark.parametrize(
    ("cell", "metres"), [("37", None), ("37 in", 0.9398), ("94 cm", 0.94), ('37"', 0.9398), ("94,5cm", 0.945)]
)
def test_a_length_without_unit_is_not_guessed(cell: str, metres: float | None) -> None:
    read = read_clubs(f"Club\tLength\n7i\t{cell}\n" if '"' not in cell else 'Club\tLength\n7i\t"37"""\n')
    length = read.bag.clubs[0].build.length_m
    assert (length is None) if metres is None else (length == pytest.approx(metres))
    assert bool(read.problems) is (metres is None)


@pytest.mark.parametrize(
    "cell", ["nan", "inf", "1e3", "0x10", "1_0", "1.200,5", "--3", "٣٣", "33..", "9" * 400]
)
def test_what_is_no_number_is_never_one(cell: str) -> None:
    read = read_clubs(f"Club\tLoft\n7i\t{cell}\n")
    assert read.bag.clubs[0].build.loft_deg is None
    assert [(p.line, p.heading) for p in read.problems] == [(2, "Loft")]


@pytest.mark.parametrize(
    "text",
    [
        "", "   \n\n", "no headings here", "Loft;Lie\n33;62", "Club\n" + "7i\n" * (MOST_LINES + 1),
        "Club" + ";x" * 500 + "\n7i", "x" * 300_000, 'Club;Note\n7i;"' + "x" * 150_000,
        "[[club]]\nname = 3", "[[club]]\nname = \"7i\"\nkind = [", "[[club]]\n" * 600,
    ],
)  # fmt: skip
def test_what_is_no_table_is_refused_in_words(text: str) -> None:
    with pytest.raises(ReadError) as told:
        read_text(text)
    assert told.value.next_step
    assert len(str(told.value)) < 600


@pytest.mark.parametrize(
    "words", [HOSTILE, "=cmd|' /C calc'!A0", "\u202egnp.exe", "‏עברית", "x" * 201, "7i\x07"]
)
def test_hostile_names_become_text_or_are_refused(words: str) -> None:
    read = read_clubs(f"Club\tKind\n{words}\tiron\n")
    assert read.lines == len(read.bag.clubs) + len([p for p in read.problems if p.lost])
    for club in read.bag.clubs:
        dump_bag(read.bag)
        assert len(club.name) <= 200


def test_a_workbook_and_its_limits() -> None:
    raw = book([["Club", "Loft", "Length cm"], ["7i", 33.5, 94], [None, None, None], ["PW", 46, None]])
    read = read_text(text_of_file(raw, "bag.xlsx"))
    assert [(c.name, c.build.loft_deg) for c in read.bag.clubs] == [("7i", 33.5), ("PW", 46.0)]
    damaged = [
        b"",
        raw[: len(raw) // 2],
        b"PK\x03\x04nothing",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
    ]
    for bad in (*damaged, b"Club\x00\n", b"x" * (LIMITS.file_bytes + 1), book([[None]])):
        with pytest.raises(ReadError):
            text_of_file(bad, "../../etc/passwd")
    with pytest.raises(ReadError, match="columns"):
        read_text(text_of_file(book([["x"] * 200]), "wide.xlsx"))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_every_usual_encoding(encoding: str) -> None:
    raw = "Schläger;Länge cm\r\n7i;94\r\n".encode(encoding)
    assert read_text(text_of_file(raw, "a.csv")).bag.clubs[0].build.length_m == pytest.approx(0.94)


@given(
    st.text(alphabet=st.sampled_from("Club;LoftLengthin\t,\"'7iPW5.\n\r\x00\x85\u202e[]=#é٣-"), max_size=80)
)
def test_no_text_ends_in_anything_but_clubs_or_words(text: str) -> None:
    try:
        read = read_text("Club;Loft;Length\n" + text)
    except ReadError:
        return
    assert read.lines == len(read.bag.clubs) + sum(problem.lost for problem in read.problems)
    dump_bag(read.bag)


@pytest.mark.django_db
def test_nothing_is_stored_before_it_was_confirmed(client: Client, player: Player) -> None:
    here = f"/players/{player.pk}/clubs/import/"
    page = client.post(here, {"text": TABLE}).content.decode()
    assert "2 lines: 2 to add, 0 left out" in page
    assert not Club.objects.exists()
    assert client.post(here, {"text": TABLE, "confirm": "1"}).status_code == 302
    assert [club.name for club in Club.objects.all()] == ["7i", "PW"]
    again = client.post(here, {"text": TABLE, "confirm": "1"}).content.decode()
    assert "0 to add, 2 left out" in again
    assert Club.objects.count() == 2


@pytest.mark.django_db
def test_a_usual_set_has_names_and_no_figures(client: Client, player: Player) -> None:
    here = f"/players/{player.pk}/clubs/import/"
    assert "?start=usual" in client.get(here).content.decode()
    text = client.get(f"{here}?start=usual").context["text"]
    read = read_text(text)
    assert (len(read.bag.clubs), read.problems) == (14, ())
    assert {club.loft_deg for club in read.bag.clubs} == {None}
    assert client.post(f"{here}?start=usual", {"text": ""}).context["text"] == ""


@pytest.mark.django_db
def test_a_file_is_shown_first_even_where_confirm_is_sent_along(client: Client, player: Player) -> None:
    raw = book([["Club", "Loft"], ["7i", 33.5], [HOSTILE, 30]])
    sent = {"file": SimpleUploadedFile("bag.xlsx", raw), "confirm": "1"}
    page = client.post(f"/players/{player.pk}/clubs/import/", sent)
    text = page.content.decode()
    assert not Club.objects.exists()
    assert "2 lines: 1 to add, 1 left out" in text
    assert "<script>alert" not in text
    confirmed = {"text": page.context["text"], "confirm": "1"}
    assert client.post(f"/players/{player.pk}/clubs/import/", confirmed).status_code == 302
    assert Club.objects.get().loft_deg == 33.5


@pytest.mark.django_db
def test_the_bag_file_of_one_player_goes_into_another_s_bag(
    client: Client, player: Player, left_player: Player, bag_of: Any
) -> None:
    bag_of(player)
    text = client.get(f"/players/{player.pk}/bag/file/").content.decode()
    here = f"/players/{left_player.pk}/clubs/import/"
    assert "9 lines: 9 to add" in client.post(here, {"text": text}).content.decode()
    client.post(here, {"text": text, "confirm": "1"})
    assert left_player.clubs.count() == 9
    left_player.refresh_from_db()
    assert left_player.hand == "left"


@pytest.mark.django_db
@pytest.mark.parametrize("text", ["", "Loft\n3", "[[club]]\nname = 1", HOSTILE])
def test_a_table_that_cannot_be_read_is_kept_and_said(client: Client, player: Player, text: str) -> None:
    answer = client.post(f"/players/{player.pk}/clubs/import/", {"text": text, "confirm": "1"})
    assert answer.status_code == 422
    assert 'role="alert"' in answer.content.decode()
    assert "<script>alert" not in answer.content.decode()
    assert answer.context["text"] == text
    assert not Club.objects.exists()


@pytest.mark.django_db
def test_a_line_that_was_taken_is_not_said_to_be_left_out(client: Client, player: Player) -> None:
    """A cell that cannot be used costs the cell, not the line: the page keeps the two apart."""
    text = "Club;Loft;Colour\n7 iron;steep;red\nThing;20;\n8 iron;38;\n"
    read = read_clubs(text)
    assert [club.name for club in read.bag.clubs] == ["7 iron", "8 iron"]
    assert [one.value for one in read.lost] == ["Thing"]
    assert {one.heading for one in read.unused} == {"Loft", "Colour"}
    html = client.post(f"/players/{player.pk}/clubs/import/", {"text": text}).content.decode()
    left_out, unused = html.index("Lines that are left out"), html.index("Taken over without these cells")
    assert left_out < html.index("“<bdi>Thing</bdi>”") < unused < html.index("“<bdi>steep</bdi>”")


@pytest.mark.django_db
@pytest.mark.parametrize("mark", ["\u202e", "\u2066", "\u202a"])
def test_marks_that_turn_a_text_round_are_refused_in_a_bag_file_too(
    client: Client, player: Player, mark: str
) -> None:
    text = f'[[club]]\nname = "7 iron"\nkind = "iron"\nshaft = "so{mark}ft"\n'
    with pytest.raises(ReadError, match="turn the direction"):
        read_text(text)
    answer = client.post(f"/players/{player.pk}/clubs/import/", {"text": text, "confirm": "1"})
    assert answer.status_code == 422
    assert not Club.objects.exists()


@pytest.mark.django_db
def test_a_club_without_a_loft_is_pointed_out(client: Client, player: Player) -> None:
    Club.objects.create(player=player, name="7 iron", kind="iron")
    Club.objects.create(player=player, name="8 iron", kind="iron", stamped_loft_deg=38.0)
    Club.objects.create(player=player, name="Putter", kind="putter")
    html = client.get(f"/players/{player.pk}/bag/").content.decode()
    assert "1 club has no loft" in html
    assert html.count("missing</b>") == 1
    Club.objects.filter(name="7 iron").update(loft_deg=33.0)
    assert "has no loft" not in client.get(f"/players/{player.pk}/bag/").content.decode()


@pytest.mark.django_db
def test_a_table_added_by_mistake_goes_out_again_in_one_press(
    client: Client, player: Player, left_player: Player, account: Account
) -> None:
    theirs = Club.objects.create(player=left_player, name="theirs", kind="iron")
    done = client.post(f"/players/{player.pk}/clubs/import/", {"text": TABLE, "confirm": "1"})
    page = client.get(done["Location"]).content.decode()
    assert "2 clubs were added." in page
    assert "Take them out again" in page
    first, second = player.clubs.order_by("pk")
    visit = Visit.objects.create(player=player, started_at=timezone.now(), coach=account)
    ShotRecord.objects.create(visit=visit, club=first, number=1, client_key="a-key-of-eight", carry_m=140.0)
    undo = f"{first.pk}-{second.pk}-{theirs.pk}-x-{'9' * 400}"
    said = client.post(f"/players/{player.pk}/clubs/import/", {"undo": undo}, follow=True).content.decode()
    assert "1 club was taken out again." in said
    assert list(player.clubs.filter(removed_at__isnull=True)) == [first], "one that was hit stays"
    theirs.refresh_from_db()
    assert theirs.removed_at is None
    assert "Take them out again" not in client.get(f"/players/{player.pk}/bag/?added=x-1-").content.decode()


@pytest.mark.django_db
def test_a_usual_set_asks_for_lengths_in_the_reader_s_unit(
    client: Client, player: Player, account: Account
) -> None:
    here = f"/players/{player.pk}/clubs/import/?start=usual"
    assert "Length in;" in client.get(here).context["text"]
    Account.objects.filter(pk=account.pk).update(units="metres", language="de")
    text = client.get(here).context["text"]
    assert text.startswith("Schläger;Loft laut Stempel;Loft;Liewinkel;Länge cm;Schaft;Flex\nDriver;")
    read = read_text(text.replace("7 Eisen;;;;", "7 Eisen;32;33,5;;94"))
    assert (len(read.bag.clubs), read.problems) == (14, ())
    iron = next(club for club in read.bag.clubs if club.name == "7 Eisen")
    assert (iron.kind, iron.stamped_loft_deg, iron.loft_deg) == ("iron", 32.0, 33.5)
    assert iron.build.length_m == pytest.approx(0.94)
    page = client.post(f"/players/{player.pk}/clubs/import/", {"text": TABLE}).content.decode()
    assert "Eisen" in page
    assert ">carried<" not in page
