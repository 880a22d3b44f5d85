"""A trial on a course: asked for, set side by side, in the report only when it is whole and of now."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from django.test import Client
from django.utils import timezone

from bagwright.bay import courses, oncourse, playing, round_inputs, strokes
from bagwright.bay.round_inputs import Asked
from bagwright.report.strokes.compare import on_course, sentence, table
from bagwright.report.words import Show
from bagwright.store.models import Club, CourseFile, ShotRecord, StrokesRun, Visit
from tests.web.unit.made_round import made_round

CARD = b"hole,par,stroke index,white (yd)\n1,3,1,150\n2,3,2,120\n"


@pytest.fixture
def kept(db: None) -> CourseFile:
    return courses.take_in(None, "Short course", "short.csv", CARD)


@pytest.fixture
def nobody_works(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(strokes, "submit", lambda run_id: None)
    monkeypatch.setattr(strokes, "_MINE", set())


def finish(visit: Visit, kept: CourseFile, clubs: list[Club], costs: list[float]) -> None:
    """Put an answer made by hand into every candidate's run."""
    for club, cost in zip(clubs, costs, strict=True):
        asked = Asked(visit.player, kept, "white", visit=visit, candidate=club)
        found = made_round(kept, "white", cost)
        StrokesRun.objects.filter(visit=visit, candidate=club).update(
            state="done",
            share=1.0,
            result=found.plain(),
            arrays=found.arrays(),
            inputs=round_inputs.inputs_of(asked).mark,
        )


def test_each_candidate_takes_the_slot_in_turn(
    client: Client, visit: Visit, candidates: list[Club], kept: CourseFile, nobody_works: None,
    add_shots: Callable[..., list[ShotRecord]],
) -> None:  # fmt: skip
    played = playing.play(None, visit.player, kept, "white", 1.0)
    path = f"/visits/{visit.pk}/course/"
    assert client.post(path, {"played": "999"}).status_code == 422
    assert client.post(path, {"played": str(played.pk)}).status_code == 302
    runs = list(StrokesRun.objects.order_by("pk"))
    assert [run.candidate for run in runs] == candidates
    bags = [round_inputs.inputs_of(round_inputs.asked_of(run)).played for run in runs]
    for bag, club in zip(bags, candidates, strict=True):
        inside = {one.name for one in bag.clubs}
        assert inside & {one.name for one in candidates} == {club.name}
        assert "Driver" in inside
    assert "hx-get" in client.get(path).content.decode()
    assert client.get(f"{path}state/").status_code == 200

    finish(visit, kept, candidates, [3.30, 3.21, 3.40])
    page = client.get(path).content.decode()
    # By hand: two holes each; 6.60 and 6.80 against 6.42.
    assert "6.42" in page
    assert "+0.18" in page
    assert "+0.38" in page
    found = oncourse.side_by_side(oncourse.standing(visit), "yards")
    assert found is not None
    assert "51 blade" not in sentence(found)
    assert "fewest strokes a round with 50 cavity" in sentence(found)

    left = visit.candidates.filter(club=candidates[2])
    left.update(left_at=timezone.now())
    found = oncourse.side_by_side(oncourse.standing(visit), "yards")
    assert found is not None
    assert [one.name for one in found.candidates] == [one.name for one in candidates[:2]], "one has left"
    left.update(left_at=None)
    StrokesRun.objects.filter(candidate=candidates[2]).delete()
    assert oncourse.side_by_side(oncourse.standing(visit), "yards") is None, (
        "one has joined and has no answer"
    )
    assert "Work it out again" in client.get(path).content.decode()
    oncourse.start(None, visit, played)
    finish(visit, kept, candidates, [3.30, 3.21, 3.40])
    assert oncourse.side_by_side(oncourse.standing(visit), "yards") is not None

    add_shots(visit, candidates[0], 1, 90.0)
    assert oncourse.side_by_side(oncourse.standing(visit), "yards") is None, "another ball, another answer"
    assert "changed since" in client.get(path).content.decode()


def test_candidates_are_set_side_by_side_in_one_stated_wind(
    client: Client, visit: Visit, candidates: list[Club], kept: CourseFile, nobody_works: None
) -> None:
    played = playing.play(None, visit.player, kept, "white", 1.0)
    path = f"/visits/{visit.pk}/course/"
    client.post(path, {"played": str(played.pk)})
    sent = {"played": str(played.pk), "wind": "10 mph", "from": "0"}
    for wrong in ({"wind": "fast"}, {"wind": "200 mph"}, {"from": "9"}):
        answer = client.post(path, sent | wrong)
        assert answer.status_code == 422
        assert 'value="' + (sent | wrong)["wind"] in answer.content.decode(), "what was typed stays"
    assert client.post(path, sent).status_code == 302
    now = oncourse.standing(visit)
    # 10 mph are 4.4704 m/s exactly.
    assert [run.wind_mps for run in now.runs] == [pytest.approx(4.4704)] * len(candidates)
    assert StrokesRun.objects.filter(visit=visit, wind_mps=None).count() == len(candidates), (
        "the calm ones stay"
    )
    for run in now.runs:
        found = made_round(kept, "white", 3.2)
        StrokesRun.objects.filter(pk=run.pk).update(
            state="done", share=1.0, result=found.plain(), arrays=found.arrays()
        )
    windy = oncourse.side_by_side(oncourse.standing(visit), "yards")
    assert windy is not None
    assert windy.air == "10 mph against, on every hole"
    page = client.get(path).content.decode()
    assert "10 mph against, on every hole" in page
    assert "from tee white, 10 mph against, on every hole" in sentence(windy)
    client.post(path, {"played": str(played.pk)})
    assert [run.wind_mps for run in oncourse.standing(visit).runs] == [None] * len(candidates), (
        "the calm ones were asked for last, and are not worked out twice"
    )
    assert StrokesRun.objects.filter(visit=visit).count() == 2 * len(candidates)


def test_rounds_that_differ_by_less_than_they_are_known_are_called_alike(kept: CourseFile) -> None:
    rounds = {"A": made_round(kept, "white", 3.21), "B": made_round(kept, "white", 3.22)}
    found = on_course("Short course", "white", "calm", rounds)
    assert "same number of strokes" in sentence(found)
    heads, rows, widths = table(found, Show("yards"))
    assert len(rows) == 3
    assert all(len(row) == len(heads) == len(widths) for row in rows)
    assert rows[-1][3:] == ["6.42", "0.00", "6.44", "0.00"]


def test_nothing_is_said_of_fewest_strokes_where_a_hole_did_not_come_to_rest(kept: CourseFile) -> None:
    rounds = {"A": made_round(kept, "white", 3.21), "B": made_round(kept, "white", 4.22)}
    first, *others = rounds["B"].result.holes
    loose = replace(rounds["B"].result, holes=(replace(first, converged=False), *others))
    found = on_course("Short course", "white", "calm", rounds | {"B": replace(rounds["B"], result=loose)})
    assert "fewest" not in sentence(found)
    assert "not to be used" in sentence(found)
    _heads, rows, _widths = table(found, Show("yards"))
    assert [row[3::2] for row in rows] == [["3.21", "≈ 4.22"], ["3.21", "4.22"], ["6.42", "≈ 8.44"]]


def test_the_report_has_the_section_only_when_a_course_was_chosen(
    visit: Visit, candidates: list[Club], kept: CourseFile, nobody_works: None
) -> None:
    from bagwright.report.model import PlayerLine, ReportInput
    from bagwright.report.pdf import report_data
    from bagwright.report.typeset import day_of

    plain = report_data(ReportInput(PlayerLine("Robin Example")), day_of("2026-05-09"), "a4", "yards")
    assert plain["course_rows"] == []
    oncourse.start(None, visit, playing.play(None, visit.player, kept, "white", 1.0))
    assert oncourse.side_by_side(oncourse.standing(visit), "yards") is None
    finish(visit, kept, candidates, [3.3, 3.2, 3.4])
    shown = ReportInput(
        PlayerLine("Robin Example"), on_course=oncourse.side_by_side(oncourse.standing(visit), "yards")
    )
    data = report_data(shown, day_of("2026-05-09"), "a4", "yards")
    assert [row[0] for row in data["course_rows"]] == ["1", "2", "all"]
    assert "50 cavity" in data["course_heads"]
