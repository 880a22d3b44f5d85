"""The house's courses: taken in, looked at, corrected on the picture, undone, put aside."""

from __future__ import annotations

import json
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from bagwright.bay import courses
from bagwright.course.edit import from_picture
from bagwright.course.lies import Lie
from bagwright.course.way import played_way, way_length
from bagwright.store.models import CourseFile
from bagwright.units import M_PER_YD
from bagwright.web.holes import points_of

CARD = (
    'hole,par,stroke index,white (yd),red (yd),words\n1,4,1,385,330,"water left at 210"\n2,3,2,165,140,""\n'
)
METRES_PER_DEGREE = 111_195.0


def square(x: float, y: float, half: float) -> list[list[float]]:
    return [[x + a * half, y + b * half] for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))]


def small_map() -> bytes:
    """One par 3 due north on the equator, drawn with the documented tags only; places in metres."""

    def feature(tags: dict[str, str], shape: str, at: object) -> dict[str, object]:
        return {"type": "Feature", "properties": tags, "geometry": {"type": shape, "coordinates": at}}

    def degrees(points: list[list[float]]) -> list[list[float]]:
        return [[x / METRES_PER_DEGREE, y / METRES_PER_DEGREE] for x, y in points]

    features = [
        feature({"golf": "hole", "ref": "1", "par": "3"}, "LineString", degrees([[0, 0], [0, 150]])),
        feature({"golf": "green"}, "Polygon", [degrees(square(0, 150, 12))]),
        feature({"golf": "tee", "tee": "white"}, "Polygon", [degrees(square(0, 0, 4))]),
        feature({"golf": "bunker"}, "Polygon", [degrees(square(20, 140, 5))]),
    ]
    return json.dumps({"type": "FeatureCollection", "features": features}).encode()


@pytest.fixture
def card(db: None) -> CourseFile:
    return courses.take_in(None, "Card course", "card.csv", CARD.encode())


@pytest.fixture
def drawn(db: None) -> CourseFile:
    return courses.take_in(None, "Drawn course", "drawn.geojson", small_map())


def seen(client: Client, path: str) -> str:
    found = re.search(r'name="seen" value="(\d*)"', client.get(path).content.decode())
    assert found is not None
    return found[1]


@pytest.mark.django_db
def test_a_card_is_pasted_and_a_map_uploaded(client: Client) -> None:
    answer = client.post("/courses/", {"text": CARD, "name": "My course"})
    assert answer.status_code == 302
    page = client.get(answer["Location"]).content.decode()
    assert "My course" in page
    assert "from a scorecard" in page
    assert ">385<" in page
    sent = SimpleUploadedFile("drawn.geojson", small_map())
    answer = client.post("/courses/", {"file": sent})
    assert answer.status_code == 302
    assert CourseFile.objects.count() == 2
    # The same bytes once more are the same course.
    again = client.post("/courses/", {"file": SimpleUploadedFile("other.geojson", small_map())})
    assert again["Location"] == answer["Location"]


@pytest.mark.django_db
@pytest.mark.parametrize("text", ["", "no table", '{"type": "FeatureCollection", "features": []}', "<osm>"])
def test_what_is_no_course_is_said_and_what_was_typed_stays(client: Client, text: str) -> None:
    answer = client.post("/courses/", {"text": text, "name": "Mine"})
    assert answer.status_code == 422
    assert 'value="Mine"' in answer.content.decode()
    assert not CourseFile.objects.exists()


def test_a_hole_s_page_shows_picture_words_and_every_tee(client: Client, card: CourseFile) -> None:
    page = client.get(f"/courses/{card.pk}/holes/1/?tee=red").content.decode()
    assert "<svg" in page
    assert "red tee, 330 yd" in page
    assert client.get(f"/courses/{card.pk}/holes/3/").status_code == 404
    assert client.get(f"/courses/{card.pk}/holes/1/?tee=%00").status_code == 200


def test_the_picture_and_what_stands_beside_it_call_a_lie_the_same_in_german(
    client: Client, card: CourseFile
) -> None:
    page = client.get(f"/courses/{card.pk}/holes/1/", headers={"Accept-Language": "de"}).content.decode()
    choices = page.split('id="lie"')[1].split("</select>")[0]
    picture = page.split("</svg>")[0]
    for word in ("Penalty Area, rot", "Fairway", "Grün"):
        assert word in picture
        assert f">{word}</option>" in choices


def test_a_tee_moved_back_by_ten_yards_makes_the_hole_ten_yards_longer(
    client: Client, drawn: CourseFile
) -> None:
    """By hand: the way of a straight hole is tee to pin, so 150 m and 10 yd."""
    path = f"/courses/{drawn.pk}/holes/1/"
    sent = {"seen": seen(client, path), "tee": "white", "do": "tee", "points": "-10 0"}
    assert client.post(f"{path}correct/", sent).status_code == 302
    hole = courses.understood(drawn).course.holes[0]
    before = courses.read(drawn, "").holes[0]
    length, was = (way_length(played_way(one, one.tees[0])) for one in (hole, before))
    assert length == pytest.approx(was + 10 * M_PER_YD, abs=0.02)
    # The page that was open before does not undo it unknowingly.
    assert client.post(f"{path}correct/", sent | {"do": "pin", "points": "160 0"}).status_code == 409
    text = client.get(f"/courses/{drawn.pk}/overlay/").content.decode()
    assert "[[hole.1.tee]]" in text
    client.post(f"/courses/{drawn.pk}/undo/", {})
    assert courses.understood(drawn).course == courses.read(drawn, "")
    client.post(f"/courses/{drawn.pk}/undo/", {"redo": "1"})
    assert courses.understood(drawn).course.holes[0] == hole
    assert client.post(f"/courses/{drawn.pk}/undo/", {"redo": "1"}).status_code == 400


def test_an_area_is_marked_redrawn_and_removed(client: Client, drawn: CourseFile) -> None:
    path = f"/courses/{drawn.pk}/holes/1/"
    corners = "60 10\n80 10\n80 30\n60 30"

    def send(**more: str) -> int:
        return client.post(
            f"{path}correct/", {"seen": seen(client, path), "tee": "white", **more}
        ).status_code

    assert send(do="mark", lie="WATER_RED", points=corners) == 302
    raster = courses.understood(drawn).raster(1)
    cell = raster.cell(70 * M_PER_YD, 20 * M_PER_YD)
    assert cell is not None
    assert raster.lie[cell] == Lie.WATER_RED
    assert send(do="redraw", lie="SAND", source="overlay/1", points=corners) == 302
    assert courses.understood(drawn).raster(1).lie[cell] == Lie.SAND
    assert send(do="remove", source="overlay/1") == 302
    assert courses.understood(drawn).raster(1).lie[cell] == Lie.ROUGH
    assert send(do="mark", lie="WATER_RED", points="1 1\n2 2") == 422
    assert send(do="mark", lie="LAVA", points=corners) == 422
    assert send(do="tee", points="1e9 0") == 422
    assert send(do="remove", source="way/none") == 422


def test_questions_are_answered_and_agreed_to(client: Client, card: CourseFile) -> None:
    path = f"/courses/{card.pk}/"
    n = len(courses.understood(card).course.questions)
    assert n > 0
    assert client.post(path, {"seen": "", "answer-rough": "as read"}).status_code == 302
    assert len(courses.understood(card).course.questions) == n - 1
    assert client.post(path, {"seen": "", "answer-green": "as read"}).status_code == 409
    assert client.post(path, {"seen": seen(client, path), "answer-rough": "7 m"}).status_code == 422
    assert client.post(path, {"seen": seen(client, path), "answer-nonsense": "as read"}).status_code == 422
    assert client.post(path, {"seen": "x"}).status_code == 400


def test_par_index_and_words_of_a_card_s_hole(client: Client, card: CourseFile) -> None:
    path = f"/courses/{card.pk}/holes/2/"
    sent = {
        "seen": "",
        "tee": "white",
        "do": "facts",
        "par": "4",
        "stroke_index": "9",
        "words": "bunkers short",
    }
    assert client.post(f"{path}correct/", sent).status_code == 302
    hole = courses.understood(card).course.holes[1]
    assert (hole.par, hole.stroke_index) == (4, 9)
    assert any(feature.lie is Lie.SAND for feature in hole.features)
    wrong = sent | {"seen": seen(client, path), "par": "x"}
    assert client.post(f"{path}correct/", wrong).status_code == 422


def test_a_course_is_put_aside_and_comes_back(client: Client, card: CourseFile) -> None:
    client.post(f"/courses/{card.pk}/archive/", {})
    assert "Card course" not in client.get("/courses/").content.decode().partition('role="status"')[0]
    assert courses.listed() == []
    assert "Card course" in client.get("/courses/?archived=1").content.decode()
    client.post(f"/courses/{card.pk}/archive/", {"back": "1"})
    assert courses.listed() == [card]


def test_hostile_words_of_a_course_are_inert(client: Client, db: None) -> None:
    text = '"><script>alert(1)</script>'
    kept = courses.take_in(
        None, text, "x.csv", f'hole,par,white (yd),name,words\n1,3,150,{text},"{text}"\n'.encode()
    )
    for path in ("/courses/", f"/courses/{kept.pk}/", f"/courses/{kept.pk}/holes/1/"):
        assert "<script>alert" not in client.get(path).content.decode()


def test_places_are_typed_in_the_reader_s_unit_and_come_back(drawn: CourseFile) -> None:
    """210 yd are 192.024 m exactly; a picture's frame has y to the right, so east of a hole to the north."""
    assert points_of("210 -12\n 0,5 1.5", "yards")[0] == pytest.approx((192.024, -10.9728))
    assert points_of("210 -12", "metres") == [(210.0, -12.0)]
    course = courses.understood(drawn).course
    ((x, y),) = from_picture(course, 1, "white", [(100.0, 5.0)])
    tee = course.holes[0].tees[0].at
    assert (x - tee[0], y - tee[1]) == pytest.approx((5.0, 100.0), abs=0.01)
