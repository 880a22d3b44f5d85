"""German: every word of the screens has one, the compiled file is the readable one, and pages speak it."""

from __future__ import annotations

import ast
import datetime
import gettext
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.test import Client
from django.utils import timezone
from django.utils.translation import templatize

import bagwright
from bagwright.store.models import Account, Club, ShopSettings, Visit

ROOT = Path(bagwright.__file__).parent
PLACE = ROOT / "web/locale/de/LC_MESSAGES"
LITERAL = r"""u?('(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")"""
CALL = re.compile(rf"\b_?n?p?gettext\(\s*{LITERAL}")


def written() -> Iterator[tuple[str, str]]:
    """Every translated string of templates and code, with the file it stands in."""
    for path in sorted((ROOT / "web/templates").rglob("*.html")):
        for literal in CALL.findall(templatize(path.read_text("utf-8"), origin=path.name)):
            yield path.name, str(ast.literal_eval(literal))
    for path in sorted([*(ROOT / "web").rglob("*.py"), *(ROOT / "bay").rglob("*.py")]):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in ("_", "_now", "ngettext", "gettext")
            ):
                first = node.args[0] if node.args else None
                if isinstance(first, ast.Constant) and isinstance(first.value, str):
                    yield path.name, first.value


def catalogue() -> dict[str, str]:
    """The compiled file: original -> German; plurals by their singular."""
    with (PLACE / "django.mo").open("rb") as file:
        found = gettext.GNUTranslations(file)._catalog  # type: ignore[attr-defined]
    plain = {key: text for key, text in found.items() if isinstance(key, str)}
    return plain | {key[0]: text for key, text in found.items() if isinstance(key, tuple) and key[1] == 0}


def readable() -> dict[str, str]:
    """The readable file: original -> German, of plurals the first form."""
    text = (PLACE / "django.po").read_text("utf-8")
    found = {}
    for block in text.split("\n\n")[1:]:
        original = re.search(r'^msgid (".*")$', block, re.MULTILINE)
        german = re.search(r'^msgstr(?:\[0\])? (".*")$', block, re.MULTILINE)
        if original and german:
            found[str(ast.literal_eval(original[1]))] = str(ast.literal_eval(german[1]))
    return found


def test_every_string_of_the_screens_has_its_german() -> None:
    known = catalogue()
    missing = sorted({(where, text) for where, text in written() if text not in known})
    assert missing == []
    assert len(known) > 900


def test_the_compiled_file_is_the_readable_one() -> None:
    known = catalogue()
    read = readable()
    assert {text: known.get(text) for text in read} == read
    assert all(read.values())


def test_places_to_fill_are_the_same() -> None:
    fill = re.compile(r"%\(\w+\)s|%%")
    read = readable()
    assert [o for o in read if sorted(fill.findall(read[o])) != sorted(fill.findall(o))] == []


@pytest.mark.django_db
def test_pages_speak_german_with_decimal_comma(
    client: Client, visit: Visit, candidates: list[Club], account: Account
) -> None:
    account.language, account.units = "de", "metres"
    account.save()
    Club.objects.filter(pk=candidates[1].pk).update(loft_deg=50.5)
    page = client.get(f"/visits/{visit.pk}/bay/")
    assert page["Content-Language"] == "de"
    text = page.content.decode()
    assert '<html lang="de">' in text
    for word in ("Letzte Bälle", "Aufnahme", "Übergabe", "Eine Zeile:"):
        assert word in text
    assert "50,5" in client.get(f"/players/{visit.player_id}/bag/").content.decode()
    errors = client.post(f"/players/{visit.player_id}/clubs/new/", {"name": ""}).content.decode()
    assert "Dieses Feld ist zwingend erforderlich" in errors


@pytest.mark.django_db
def test_a_browser_without_a_choice_gets_its_own_language(client: Client) -> None:
    page = client.get("/players/", headers={"Accept-Language": "de-AT,de;q=0.9"}).content.decode()
    assert "Spieler" in page
    assert "Players" in client.get("/players/", headers={"Accept-Language": "fr"}).content.decode()


@pytest.mark.django_db
def test_days_cannot_be_misread_and_figures_have_the_language_s_mark(
    client: Client, visit: Visit, account: Account
) -> None:
    """Django's own short date of English, 03/04/2026, is a day in March or in April."""
    day = timezone.make_aware(datetime.datetime(2026, 4, 3, 15, 30))
    Visit.objects.filter(pk=visit.pk).update(started_at=day)
    Club.objects.filter(player=visit.player, name="8 iron").update(length_m=0.9275)
    page, bag = f"/players/{visit.player_id}/", f"/players/{visit.player_id}/bag/"
    assert "3 Apr 2026" in client.get(page).content.decode()
    Account.objects.filter(pk=account.pk).update(language="de", units="metres")
    assert "3. April 2026" in client.get(page).content.decode()
    assert "92,8\u00a0cm" in client.get(bag).content.decode().replace("&nbsp;", "\u00a0")


@pytest.mark.django_db
def test_before_anybody_has_chosen_german_comes_with_metres_and_a_first_change_changes_nothing_else(
    client: Client, account: Account
) -> None:
    german = {"Accept-Language": "de-DE,de;q=0.9"}
    page = client.get("/settings/", headers=german).content.decode()
    assert '<option value="metres" selected>' in page
    assert '<option value="de" selected>' in page
    assert "(km/h)" in client.get("/players/new/", headers=german).content.decode()
    assert "(mph)" in client.get("/players/new/", headers={"Accept-Language": "en-GB"}).content.decode()
    sent = client.get("/settings/", headers=german).context["form"].initial
    assert sent["units"] == "metres"
    client.post("/settings/", {"no_logo": "1"}, headers=german)
    row = ShopSettings.objects.get()
    assert (row.language, row.units) == ("de", "metres"), "a logo is no choice of a language"
