"""The help tells the way through every kind of visit from the same list as the line of steps on its pages."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from bagwright.bay.visits import KINDS
from bagwright.store.models import Account, Visit
from bagwright.web.context import steps_of
from bagwright.web.way import STAGES

pytestmark = pytest.mark.django_db


def test_every_kind_of_visit_has_its_way() -> None:
    assert set(STAGES) == set(KINDS)
    assert all(stages[0].route == "intake" and stages[-1].route == "handover" for stages in STAGES.values())


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("language", ["en", "de"])
def test_the_help_names_the_steps_that_the_pages_show(
    client: Client, visit: Visit, account: Account, kind: str, language: str
) -> None:
    Account.objects.filter(pk=account.pk).update(language=language)
    Visit.objects.filter(pk=visit.pk).update(kind=kind)
    visit.refresh_from_db()
    html = client.get("/help/").content.decode()
    with translation.override(language):
        steps = steps_of(visit, "intake")
        told = [str(stage.told) for stage in STAGES[kind]]
    assert [step.address for step in steps] == [reverse(one.route, args=[visit.pk]) for one in STAGES[kind]]
    last = 0
    for step, words in zip(steps, told, strict=True):
        line = f"<b>{step.label}.</b> {words}".replace("'", "&#x27;")
        assert line in html
        last = html.index(line, last) if kind == "fitting" else 0
    page = client.get(reverse("intake", args=[visit.pk])).content.decode()
    assert all(f">{step.label}</a>" in page for step in steps)


def test_the_example_line_is_in_the_reader_s_units(client: Client, account: Account) -> None:
    assert "168 12R 112" in client.get("/help/").content.decode()
    Account.objects.filter(pk=account.pk).update(units="metres")
    assert "154 11R 50" in client.get("/help/").content.decode()


def test_the_help_says_how_to_come_by_strokes_on_a_course(client: Client, account: Account) -> None:
    part = client.get("/help/").content.decode().split('id="courses"')[1].split("</section>")[0]
    assert "work out the strokes" in part
    assert "Rule 4.3a" in part
    assert f'href="{reverse("courses")}"' in part
