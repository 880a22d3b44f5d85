"""A file of heights beside a map: read, said, replaced, taken away; a wrong one changes nothing."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from bagwright.bay import courses
from bagwright.store.models import AuditEntry, CourseFile
from tests.unit.course.drawn import bounds, raw, whole_hole
from tests.unit.course.test_heights import in_degrees, in_metres, points, tile

CARD = b"hole,par,white (m)\n1,4,350\n"


@pytest.fixture
def drawn(db: None) -> CourseFile:
    return courses.take_in(None, "Drawn", "drawn.geojson", raw(*whole_hole(), bounds()))


def give(client: Client, kept: CourseFile, content: bytes, name: str = "ground.asc") -> tuple[int, str]:
    sent = {"heights": SimpleUploadedFile(name, content)}
    answer = client.post(f"/courses/{kept.pk}/heights/", sent, follow=True)
    return answer.status_code, answer.content.decode()


@pytest.mark.parametrize(
    ("content", "name"),
    [
        (in_degrees(), "ground.asc"),
        (in_metres(), "ground.asc"),
        (points(degrees=True), "ground.csv"),
        (tile(), "tile"),
    ],
    ids=["degrees", "metres", "points", "tile"],
)
def test_heights_are_read_and_said_and_lie_under_the_hole(
    client: Client, drawn: CourseFile, content: bytes, name: str
) -> None:
    from bagwright.course.plane import Plane

    if name == "tile":
        plane = Plane(*(courses.understood(drawn).course.origin or (0.0, 0.0)))
        north, west = int(plane.latitude_deg // 1), int(-(plane.longitude_deg // 1))
        name = f"N{north:02d}W{west:03d}.hgt"
    before = courses.understood(drawn)
    assert before.raster(1).height_m is None
    status, page = give(client, drawn, content, name)
    assert status == 200
    assert f"Read from {name}: from a file with a height every" in page
    drawn.refresh_from_db()
    now = courses.understood(drawn)
    assert now.mark != before.mark, "an answer from before is out of date"
    heights = now.raster(1).height_m
    assert heights is not None
    hole = now.course.holes[0]
    rise = (hole.pin_height_m or 0.0) - (hole.tees[0].height_m or 0.0)
    # The plane rises 0.05 m a metre north: 17.5 m over 350 m. A tile has whole metres, 90 m apart.
    assert rise == pytest.approx(17.5, abs=1.1 if name.endswith(".hgt") else 0.1)
    assert "Green over tee, ft" in page
    if not name.endswith(".hgt"):
        # 17.5 m are 57.4 ft (a foot is 0.3048 m exactly).
        assert ">+57<" in page
    assert client.get(f"/courses/{drawn.pk}/heights/file/").getvalue() == content


def test_another_file_takes_its_place_and_is_taken_away(client: Client, drawn: CourseFile) -> None:
    plain = courses.understood(drawn).mark
    give(client, drawn, in_metres(), "first.asc")
    _status, page = give(client, drawn, in_degrees(), "second.asc")
    assert "It took the place of first.asc." in page
    answer = client.post(f"/courses/{drawn.pk}/heights/", {"away": "1"}, follow=True).content.decode()
    assert "second.asc was taken away." in answer
    assert "Nothing is known of heights" in answer
    assert client.get(f"/courses/{drawn.pk}/heights/file/").status_code == 404
    drawn.refresh_from_db()
    assert drawn.heights is None
    assert courses.understood(drawn).mark == plain, "what was worked out before holds again"
    told = list(AuditEntry.objects.values_list("action", flat=True))
    assert told.count("course heights given") == 2
    assert told.count("course heights taken away") == 1
    client.post(f"/courses/{drawn.pk}/heights/", {"away": "1"})
    assert AuditEntry.objects.filter(action="course heights taken away").count() == 1, "nothing was there"


def test_a_wrong_file_is_said_with_the_next_step_and_changes_nothing(
    client: Client, drawn: CourseFile
) -> None:
    give(client, drawn, in_metres(), "right.asc")
    for content, name, words in (
        (b"II*\x00", "ground.tif", "is a TIFF"),
        (b"lon,lat,z\n10,10,5\n10.1,10,5\n10,10.1,6\n", "far.csv", "far.csv"),
        (b"\xff\xfe\x00", "noise.asc", "noise.asc"),
        (b"", "empty.asc", "No file was sent"),
    ):
        status, page = give(client, drawn, content, name)
        assert status == 422
        assert words in page
        assert "right.asc" in page
    drawn.refresh_from_db()
    assert drawn.heights_name == "right.asc"
    assert courses.understood(drawn).raster(1).height_m is not None


def test_a_file_that_is_too_large_is_refused(
    client: Client, drawn: CourseFile, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(courses, "MOST_HEIGHTS_BYTES", 100)
    status, page = give(client, drawn, in_metres())
    assert status == 422
    assert "larger than a file of heights may be" in page


def test_a_card_has_no_place_for_heights(client: Client, db: None) -> None:
    kept = courses.take_in(None, "Card", "card.csv", CARD)
    page = client.get(f"/courses/{kept.pk}/").content.decode()
    assert "fits no card" in page
    assert 'name="heights"' not in page
    status, page = give(client, kept, in_metres())
    assert status == 422
    assert "the holes of a scorecard have no place" in page


def test_corrections_and_heights_stand_side_by_side(client: Client, drawn: CourseFile) -> None:
    give(client, drawn, in_metres())
    sent = {"do": "pin", "points": "330 0", "tee": courses.understood(drawn).course.tee_names[0]}
    assert client.post(f"/courses/{drawn.pk}/holes/1/correct/", sent).status_code == 302
    drawn.refresh_from_db()
    course = courses.understood(drawn).course
    assert course.heights is not None
    pin = course.holes[0].pin
    # The plane of the tests, by its own formula.
    assert course.holes[0].pin_height_m == pytest.approx(100.0 + 0.02 * pin[0] + 0.05 * pin[1], abs=0.1)
