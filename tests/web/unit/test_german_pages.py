"""The demo visit in German: its pages hold no English sentence, and what scripts and forms read stays the same."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils.translation import override

from bagwright import demo
from bagwright.bay import courses, handing
from bagwright.bay.demo import seed_demo
from bagwright.bay.reporting import gathered
from bagwright.report.build import build_data
from bagwright.report.pdf import report_data
from bagwright.report.yardage import card_data
from bagwright.store.models import Account, Visit

PAGES = (
    "/players/", "/due/", "/record/", "/help/", "/settings/", "/rack/", "/audit/",
    "/players/{player}/", "/players/{player}/edit/", "/players/{player}/bag/",
    "/visits/{visit}/intake/", "/visits/{visit}/safety/", "/visits/{visit}/brief/", "/visits/{visit}/plan/",
    "/visits/{visit}/bay/", "/visits/{visit}/board/", "/visits/{visit}/decide/", "/visits/{visit}/ratings/",
    "/visits/{visit}/pictures/", "/visits/{visit}/pictures/?picture=flight", "/visits/{visit}/pictures/?picture=order",
    "/visits/{visit}/pictures/?picture=carries", "/visits/{visit}/distances/", "/visits/{visit}/hand-over/",
    "/visits/{visit}/table/", "/visits/{visit}/screen/", "/visits/{visit}/form/",
)  # fmt: skip
ENGLISH = re.compile(
    r"\b(the|and|of|with|is|are|were|not|for|to|this|that|from|than|it|yet|has|have|be|which|been|there|each|by|on|"
    r"at|no|only|more|less|between|carries|bend)\b",
    re.IGNORECASE,
)
"""Words that stand in nearly every English sentence and in no German one."""
TYPED = (
    "a wedge for the 80 to 100 yard shots", "this machine", "narrow sole", "wide sole", "lost by unit",
    "30 months old and hard, whichever wedge is carried", "bent strong over the years",
    "toe-side marks on the sole at delivery lie",
)  # fmt: skip
"""What people typed in the demo, and the name of the account of one machine."""


class Page(HTMLParser):
    """The texts of a page, those of its charts too, and the attributes that scripts and forms read."""

    READ = ("id", "name", "class", "href", "action", "for", "type")
    SAID = ("alt", "title", "aria-label", "placeholder")

    def __init__(self, page: str) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.read: list[tuple[str, str, str]] = []
        self._script: str | None = None
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag in ("script", "style"):
            self._script = told.get("type", "")
        chosen = told.get("type") in ("radio", "checkbox", "submit") or tag in ("option", "button")
        for name, value in told.items():
            if (name in self.READ or (name == "value" and chosen)) and "chart-" not in value:
                self.read.append((tag, name, value))
            if name in self.SAID:
                self.texts.append(value)

    def handle_endtag(self, tag: str) -> None:
        if tag in ("script", "style"):
            self._script = None

    def handle_data(self, data: str) -> None:
        if self._script is None:
            self.texts.append(" ".join(data.split()))
        elif self._script == "application/json":
            self.texts += drawn(json.loads(data))


def drawn(part: Any, key: str = "") -> Iterator[str]:
    """The texts that a chart draws: titles, words, labels, its data; not its formulas."""
    if isinstance(part, dict):
        for name, value in part.items():
            yield from drawn(value, name)
    elif isinstance(part, list):
        for value in part:
            yield from drawn(value, key)
    elif isinstance(part, str) and key not in ("signal", "expr", "test", "as", "field", "fields", "align"):
        yield part


def english(texts: list[str]) -> list[str]:
    """The texts that hold an English word beside what was typed."""
    found = []
    for text in texts:
        rest = text
        for typed in TYPED:
            rest = rest.replace(typed, "")
        if ENGLISH.search(rest):
            found.append(text)
    return found


@pytest.fixture
def demo_visit(account: Account) -> Visit:
    return seed_demo(account)


def written(data: Any) -> Iterator[str]:
    """The texts of a paper's data; of its pictures the words that are drawn."""
    if isinstance(data, dict):
        for key, value in data.items():
            if key not in ("words", "author", "paper", "language"):
                yield from written(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from written(value)
    elif isinstance(data, str):
        yield from re.findall(r">([^<>]+)</text>", data) if data.startswith("<svg") else (data,)


@pytest.mark.django_db
def test_pages_and_papers_of_the_demo_visit_hold_no_english_sentence(
    client: Client, account: Account, demo_visit: Visit
) -> None:
    day = datetime.date(2026, 5, 9)
    papers = {
        language: [
            report_data(gathered(demo_visit, "metres"), day, "a4", "metres", language),
            card_data(gathered(demo_visit, "metres"), day, "a4", "metres", language),
            build_data(gathered(demo_visit, "metres", "50 cavity"), day, "a4", "metres", language),
        ]
        for language in ("en", "de")
    }
    german = list(written(papers["de"]))
    assert english(german) == []
    assert any(text.startswith("12,0 C, 1,2") for text in german)  # the air of the first visit
    assert len(english(list(written(papers["en"])))) > 100
    assert sum("…" in text for text in german) <= sum("…" in text for text in written(papers["en"]))
    for page in PAGES:
        where = page.format(visit=demo_visit.pk, player=demo_visit.player_id)
        seen = {}
        for language in ("en", "de"):
            Account.objects.filter(pk=account.pk).update(language=language, units="yards")
            answer = client.get(where)
            assert answer.status_code == 200, where
            seen[language] = Page(answer.content.decode())
        assert english(seen["de"].texts) == [], where
        assert english(seen["en"].texts) != [], where
        assert seen["de"].read == seen["en"].read, where


@pytest.mark.django_db
def test_a_course_and_its_holes_hold_no_english_sentence(client: Client, account: Account) -> None:
    card = b"hole,par,stroke index,white (yd)\n1,4,1,385\n2,3,2,165\n"
    drawn = (Path(demo.__file__).parent / "wethermoor.geojson").read_bytes()
    taken = [
        courses.take_in(None, "Feld", "feld.csv", card),
        courses.take_in(None, "Moor", "m.geojson", drawn),
    ]
    for kept in taken:
        for page in ("/courses/", f"/courses/{kept.pk}/", f"/courses/{kept.pk}/holes/1/"):
            seen = {}
            for language in ("en", "de"):
                Account.objects.filter(pk=account.pk).update(language=language, units="yards")
                seen[language] = Page(client.get(page).content.decode())
            assert english(seen["de"].texts) == [], page
            assert english(seen["en"].texts) != [], page
            assert seen["de"].read == seen["en"].read, page


@pytest.mark.django_db
def test_a_line_that_cannot_be_read_is_refused_in_german(
    client: Client, account: Account, visit: Visit
) -> None:
    Account.objects.filter(pk=account.pk).update(language="de")
    line = {"line": "168 12Q 84", "key": "german-1", "club": str(visit.slot_id)}
    told = client.post(f"/visits/{visit.pk}/shots/", line, headers={"Accept": "application/json"}).json()[
        "error"
    ]
    assert told["message"] == "„12Q“ ist keine Seite."
    assert told["next_step"] == "So schreiben: 12R oder 12L."


@pytest.mark.django_db
def test_a_paper_speaks_the_language_of_the_page_that_asks_for_it(demo_visit: Visit) -> None:
    with override("de"):
        german = handing.make_paper(demo_visit, "yardages", "metres")
    with override("en"):
        other = handing.make_paper(demo_visit, "yardages", "metres")
    title = "Weitenkarte für Jory".encode("utf-16-be").hex().upper().encode()
    assert title in german.content
    assert b"/Lang(de)" in german.content
    assert title not in other.content
