"""Who gets what on every address of the app, and what no request can do.

The table below names every route: a new one without a row fails the first test.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Callable, Iterator
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from django.utils.html import escape
from pytest_django import Settings

from bagwright.bay import courses, handing
from bagwright.store.models import (
    Account,
    ApiToken,
    AuditEntry,
    Club,
    CourseFile,
    Invitation,
    PickRun,
    PlayerShare,
    RackClub,
    ShopSettings,
    ShotRecord,
    StrokesRun,
    Visit,
)
from bagwright.web.middleware.roles import FOR_WORKSHOP
from tests.web.unit.made_pick import kept_pick
from tests.web.unit.made_round import kept_run

OPEN, KNOWN, OWNER, PLAYER, VISIT, SHOT, CLUB, PAPER = (
    "open", "known", "owner", "player", "visit", "shot", "club", "paper",
)  # fmt: skip
"""Anybody; whoever is logged in; the owner; whoever may see the player, the visit, the shot, the club, the paper."""

ROUTES: dict[str, str] = {
    "home": KNOWN, "help": KNOWN, "healthy": OPEN, "worker": OPEN,
    "players": KNOWN, "player-new": KNOWN, "due": KNOWN, "record": KNOWN,
    "player": PLAYER, "player-edit": PLAYER, "player-archive": PLAYER, "visit-new": PLAYER, "bag-edit": PLAYER,
    "bag-file": PLAYER, "club-new": PLAYER, "clubs-import": PLAYER, "club-from-rack": PLAYER, "player-share": PLAYER,
    "club-edit": CLUB, "club-status": CLUB, "club-move": CLUB,
    "visit": VISIT, "intake": VISIT, "safety": VISIT, "brief": VISIT, "plan": VISIT, "plan-make": VISIT,
    "plan-skip": VISIT, "plan-move": VISIT, "plan-add": VISIT, "plan-undo": VISIT, "flat-out-ok": VISIT,
    "plan-back": VISIT, "plan-setting": VISIT, "plan-leave": VISIT, "visit-finish": VISIT, "visit-aside": VISIT, "bay": VISIT, "shot-add": VISIT, "shot-undo": VISIT, "entry-form": VISIT, "live": VISIT,
    "revision": VISIT, "player-screen": VISIT, "board": VISIT, "pictures": VISIT, "ratings": VISIT, "decide": VISIT,
    "visit-bag": VISIT, "table-add": VISIT, "table-look": VISIT, "handover": VISIT, "paper": VISIT, "pair-offer": VISIT,
    "delivery": VISIT, "delivery-compare": VISIT, "check-measure": VISIT, "check-compare": VISIT,
    "check-outcome": VISIT, "player-link": VISIT,
    "shot-edit": SHOT, "shot-mark": SHOT, "shot-remove": SHOT, "paper-given": PAPER,
    "login": OPEN, "first-account": OPEN, "join": OPEN, "pair": OPEN, "for-you": OPEN, "for-you-paper": OPEN,
    "logout": KNOWN, "accounts": OWNER, "sessions": KNOWN, "audit": KNOWN, "tokens": KNOWN, "rack": KNOWN,
    "rack-new": KNOWN, "rack-import": KNOWN, "rack-edit": KNOWN, "settings": KNOWN, "logo": KNOWN, "workshop": KNOWN,
    "workshop-sheet": KNOWN,
    "courses": KNOWN, "holes-styles": KNOWN, "course": KNOWN, "course-archive": KNOWN, "course-undo": KNOWN,
    "course-overlay": KNOWN, "course-heights": KNOWN, "course-heights-file": KNOWN, "course-hole": KNOWN, "course-correct": KNOWN,
    "player-courses": PLAYER, "strokes": PLAYER, "strokes-state": PLAYER, "strokes-sheet": PLAYER,
    "strokes-hole": PLAYER, "strokes-spot": PLAYER, "visit-course": VISIT, "visit-course-state": VISIT,
    "player-pick": PLAYER, "pick": PLAYER, "pick-state": PLAYER,
}  # fmt: skip
CARD = b"hole,par,stroke index,white (yd)\n1,3,1,150\n"
POST_ONLY = {
    "player-archive", "visit-new", "club-from-rack", "club-status", "club-move", "plan-make", "plan-skip",
    "plan-back", "plan-setting", "plan-leave",
    "plan-move", "plan-add", "plan-undo", "flat-out-ok", "visit-finish", "shot-add", "shot-undo", "shot-mark",
    "shot-remove", "logout", "table-look", "course-archive", "course-undo", "course-correct",
    "course-heights",
}  # fmt: skip
TO_CHANGE = {
    "player-edit", "player-share", "club-new", "clubs-import", "club-edit", "shot-edit", "pair-offer",
}  # fmt: skip
"""Pages that only change something: whoever may look at a player but not change it has no such page."""
SECRETS = {"/app/", "Traceback", "SELECT ", "settings.py", "site-packages", "bagwright/web"}


def patterns(found: list[URLPattern | URLResolver]) -> Iterator[URLPattern]:
    for one in found:
        if isinstance(one, URLResolver):
            if one.app_name != "ninja":
                yield from patterns(one.url_patterns)
        else:
            yield one


def all_routes() -> list[URLPattern]:
    return list(patterns(get_resolver().url_patterns))


def test_every_route_has_its_row() -> None:
    names = {str(one.name) for one in all_routes()}
    assert names - set(ROUTES) == set(), "say in ROUTES who may open a new route"


@pytest.fixture
def shop(
    settings: Settings, account: Account, visit: Visit, candidates: list[Club],
    add_shots: Callable[..., list[ShotRecord]],
) -> dict[str, Client]:  # fmt: skip
    """Alice owns the player, Bob is invited to it, Charlie is a stranger, Wim the workshop, nobody is not logged in."""
    add_shots(visit, candidates[0], 4, 90.0)
    add_shots(visit, candidates[1], 4, 92.0, seed=2)
    handing.hand_over(account, visit, ["yardages"], "yards")
    RackClub.objects.create(name="52 wedge", kind="wedge", hand="right")
    kept_run(visit.player, course_of_the_house())
    kept_pick(visit.player, course_of_the_house())
    settings.SHOP = True
    account.single, account.name = False, "alice"
    account.role = "coach"
    account.save()
    bob = Account.objects.create_user("bob", role="coach")
    charlie = Account.objects.create_user("charlie", role="coach")
    Account.objects.create_user("olga", role="owner")
    PlayerShare.objects.create(player=visit.player, account=bob)
    clients = {"nobody": Client()}
    wim = Account.objects.create_user("wim", role="workshop")
    for name, who in (("alice", account), ("bob", bob), ("charlie", charlie), ("wim", wim)):
        clients[name] = Client()
        clients[name].force_login(who)
    return clients


def course_of_the_house() -> CourseFile:
    """One course, taken in once."""
    return CourseFile.objects.first() or courses.take_in(None, "Card", "card.csv", CARD)


def address(route: URLPattern, visit: Visit) -> str:
    shot, paper = visit.shots.first(), visit.papers.first()
    assert shot is not None
    assert paper is not None
    values: dict[str, object] = {
        "player_id": visit.player_id, "visit_id": visit.pk, "club_id": visit.slot_id, "shot_id": shot.pk,
        "course_id": course_of_the_house().pk, "number": 1,
        "run_id": (PickRun if str(route.name).startswith("pick") else StrokesRun).objects.get().pk,
        "rack_id": RackClub.objects.get().pk, "token": "x" * 43, "kind": "report", "paper_id": paper.pk,
    }  # fmt: skip
    wanted = {name: values[name] for name in route.pattern.converters}
    return reverse(str(route.name), kwargs=wanted)


def test_alice_bob_charlie_and_nobody_on_every_route(shop: dict[str, Client], visit: Visit) -> None:
    """The owner of the data 200, the invited colleague 200 or may only look, the stranger 404, nobody to the log-in."""
    wrong = []
    for route in all_routes():
        name = str(route.name)
        if name == "live":
            continue
        path, kind = address(route, visit), ROUTES[name]
        statuses = {who: client.head(path).status_code for who, client in shop.items()}
        if kind != OPEN and statuses["nobody"] != 302:
            wrong.append((name, "nobody", statuses["nobody"]))
        if kind in (PLAYER, VISIT, SHOT, CLUB, PAPER) and statuses["charlie"] not in (404, 405):
            wrong.append((name, "charlie", statuses["charlie"]))
        if kind == OWNER and statuses["alice"] != 404:
            wrong.append((name, "alice", statuses["alice"]))
        if kind in (PLAYER, VISIT, SHOT, CLUB, PAPER) and name not in POST_ONLY:
            fine = (200, 302, 400) if name != "pair-offer" else (404,)
            if statuses["alice"] not in fine:
                wrong.append((name, "alice", statuses["alice"]))
            if statuses["bob"] not in ((404,) if name in TO_CHANGE else fine):
                wrong.append((name, "bob", statuses["bob"]))
        if statuses["wim"] not in (404, 405) and name not in (*FOR_WORKSHOP, "home"):
            wrong.append((name, "wim", statuses["wim"]))
        if any(status >= 500 for status in statuses.values()):
            wrong.append((name, "failed", max(statuses.values())))
    assert wrong == []


def test_a_stranger_can_post_nothing_and_a_form_needs_its_token(
    shop: dict[str, Client], visit: Visit
) -> None:
    checked = Client(enforce_csrf_checks=True)
    checked.force_login(visit.player.coach)
    before = content()
    for route in all_routes():
        if ROUTES[str(route.name)] in (PLAYER, VISIT, SHOT, CLUB, PAPER):
            path = address(route, visit)
            assert shop["charlie"].post(path).status_code in (404, 405), path
            assert checked.post(path).status_code in (403, 405), path
            assert shop["bob"].post(path).status_code in (404, 405), path
            assert Client().post(path).status_code == 302, path
    assert content() == before


def content() -> str:
    """A digest of every table but sessions and the audit list."""
    digest = hashlib.sha256()
    with connection.cursor() as cursor:
        for table in sorted(connection.introspection.table_names(cursor)):
            if table in ("django_session", "store_auditentry") or table.startswith("axes"):
                continue
            cursor.execute(f'SELECT * FROM "{table}" ORDER BY 1')
            digest.update(repr((table, cursor.fetchall())).encode())
    return digest.hexdigest()


def test_no_get_changes_anything(shop: dict[str, Client], visit: Visit) -> None:
    before = content()
    for route in all_routes():
        name = str(route.name)
        if name not in POST_ONLY and name != "live":
            shop["alice"].get(address(route, visit))
            assert content() == before, name


def test_a_foreign_host_is_refused_everywhere(shop: dict[str, Client], visit: Visit) -> None:
    for route in all_routes():
        answer = shop["alice"].get(address(route, visit), headers={"Host": "evil.example"})
        assert answer.status_code == 400, route.name
        assert "default-src 'none'" in answer["Content-Security-Policy"]


@pytest.mark.django_db
def test_too_much_is_refused_before_it_is_read(client: Client) -> None:
    assert client.generic("POST", "/settings/", b"x" * (5 * 1024 * 1024)).status_code == 413
    many = {f"f{i}": "x" for i in range(10_000)}
    assert client.post("/settings/", many).status_code == 400
    assert client.get("/players/", {"q": "x" * 10_000}).status_code == 200


def test_a_forced_failure_tells_nothing_and_is_logged_in_one_entry(
    client: Client, account: Account, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    outside = "SELECT * FROM secret\nINJECTED entry of Robin Example"

    def fail(*words: object) -> None:
        raise RuntimeError(outside)

    monkeypatch.setattr("bagwright.bay.predicting.record", fail)
    client.raise_request_exception = False
    with caplog.at_level(logging.ERROR):
        answer = client.get("/record/")
    assert answer.status_code == 500
    page = answer.content.decode()
    assert not any(word in page for word in SECRETS)
    assert "secret" not in page
    from bagwright.web.logs import OneLine

    formatter = OneLine()
    lines = [line for record in caplog.records for line in formatter.format(record).splitlines()]
    assert any("request " in line for line in lines)
    assert not any("INJECTED" in line or "Robin Example" in line for line in lines)
    assert any("RuntimeError" in line for line in lines), "which kind of error it was is said"
    assert sum(not line.startswith("    ") for line in lines) == len(caplog.records)


def test_text_from_outside_starts_no_new_line_of_the_log() -> None:
    from bagwright.web.logs import OneLine

    record = logging.LogRecord(
        "x", logging.ERROR, "", 0, "a\n2026 ERROR b\r\x1b[31mc\u2028d\x85e", None, None
    )
    lines = OneLine().format(record).splitlines()
    assert lines[0].endswith(" ERROR a")
    assert all(line.startswith("    ") for line in lines[1:])
    assert "\x1b" not in "".join(lines)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "text",
    [
        '"><script>alert(1)</script>',
        "</script><script>alert(1)</script>",
        "javascript:alert(1)",
        "{{ 7*7 }}",
        "x" * 180,
    ],
)
def test_hostile_text_is_inert_in_every_page(
    client: Client,
    visit: Visit,
    candidates: list[Club],
    add_shots: Callable[..., list[ShotRecord]],
    text: str,
) -> None:
    Club.objects.filter(pk=candidates[1].pk).update(name=text)
    type(visit.player).objects.filter(pk=visit.player_id).update(name=text, goals=text, injury=text)
    Visit.objects.filter(pk=visit.pk).update(place=text, note=text, slot_words=text)
    visit.refresh_from_db()
    for i, club in enumerate(candidates):
        add_shots(visit, club, 4, 90.0 + i, seed=i)
    for name in ("intake", "brief", "plan", "bay", "board", "pictures", "ratings", "decide", "visit-bag", "handover",
                 "player-screen"):  # fmt: skip
        page = client.get(reverse(name, args=[visit.pk])).content.decode()
        assert "<script>alert" not in page, name
        assert 'href="javascript:' not in page, name
        assert "{{ 7*7 }}" not in text or "{{ 7*7 }}" in page or name not in ("bay", "board"), name


HOSTILE = (
    '"><script>alert(1)</script>', "</title><script>alert(1)</script>", "' onmouseover='alert(1)", "{{ 7*7 }}",
    "{% load static %}", "<img src=x onerror=alert(1)>", "javascript:alert(1)", "=cmd|' /C calc'!A0",
)  # fmt: skip


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_inert_in_every_page_of_the_shop(
    shop: dict[str, Client], visit: Visit, text: str
) -> None:
    olga = Account.objects.get(name="olga")
    Account.objects.filter(name="bob").update(name=text)
    RackClub.objects.update(name=text, head=text, shaft=text, place=text, lent=1, lent_to=text, note=text)
    type(visit.player).objects.update(name=text)
    ShopSettings.objects.create(shop_name=text, seller_interest=text)
    ApiToken.objects.create(token_hash="x", account=visit.player.coach, label=text)
    Invitation.objects.create(
        token_hash="y", role="coach", made_by=olga, expires_at=timezone.now() + timedelta(1)
    )
    AuditEntry.objects.create(account=visit.player.coach, player=visit.player, action=text[:40], detail=text)
    owner = Client()
    owner.force_login(olga)
    rack_id = RackClub.objects.get().pk
    shown = 0
    for path in ("/settings/", "/rack/", "/rack/?hand=" + text, f"/rack/{rack_id}/", "/accounts/", "/audit/", "/tokens/",
                 "/sessions/", f"/players/{visit.player_id}/share/", "/audit/?action=" + text, "/login/?next=" + text):  # fmt: skip
        for client in (owner, shop["alice"]):
            page = client.get(path).content.decode()
            shown += escape(text) in page
            for raw in ("<script>alert", "<img src=x", "onmouseover='alert", 'href="javascript:', " 49 "):
                assert raw not in page, path
    assert shown >= 6, "the text stands there, as text"


@pytest.mark.parametrize(
    ("path", "sent"),
    [
        ("/players/new/", {"name": "New Example", "hand": "left", "club_limit": "14"}),
        ("/rack/new/", {"name": "56 wedge", "kind": "wedge", "hand": "left", "in_stock": "1", "lent": "0"}),
        ("/settings/", {"own": "1", "units": "", "language": ""}),
        ("/tokens/", {"label": "monitor"}),
    ],
)
def test_fields_that_no_form_has_are_ignored(
    shop: dict[str, Client], visit: Visit, path: str, sent: dict[str, str]
) -> None:
    """Owner, role, number, version and the like cannot be chosen by whoever sends the form."""
    alice, charlie = visit.player.coach, Account.objects.get(name="charlie")
    extra = {"coach": charlie.pk, "coach_id": charlie.pk, "account": charlie.pk, "account_id": charlie.pk, "role": "owner",
             "is_active": "", "single": "1", "id": "4711", "pk": "4711", "is_demo": "1", "retired_at": "2020-01-01",
             "archived_at": "2020-01-01", "is_admin": "1", "password": "x", "made_by": charlie.pk}  # fmt: skip
    before = Account.objects.values_list("pk", "role", "single", "is_active", "password")
    stood = list(before)
    assert shop["alice"].post(path, {**sent, **extra}).status_code in (200, 302)
    assert list(before.all()) == stood
    for table in (type(visit.player), RackClub, ApiToken):
        assert not table._default_manager.filter(pk=4711).exists()
    assert not charlie.players.exists()
    assert not ApiToken.objects.exclude(account=alice).exists()
    assert not RackClub.objects.filter(retired_at__isnull=False).exists()


def test_every_answer_has_its_headers(shop: dict[str, Client], visit: Visit) -> None:
    for route in all_routes():
        if route.name == "live":
            continue
        path = address(route, visit)
        for answer in (shop["alice"].get(path), Client().get(path), shop["charlie"].post(path)):
            policy = answer["Content-Security-Policy"]
            assert "default-src 'none'" in policy
            assert "unsafe" not in policy
            assert answer["X-Content-Type-Options"] == "nosniff"
            assert answer["Referrer-Policy"] == "same-origin"
            assert answer["Cache-Control"] == "no-store" or "no-store" in answer["Cache-Control"], path


def test_the_deployment_check_is_clean_with_https(tmp_path: object) -> None:
    """Django's own list for a site on the network; started afresh, as settings are read once."""
    import os
    import subprocess
    import sys

    code = (
        "from bagwright.web.serve import Serving, prepare\n"
        "prepare(Serving(shop=True, https=True, hosts=('bay.example',)))\n"
        "from django.core.management import call_command\n"
        "call_command('check', deploy=True, fail_level='WARNING')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False,
        env={**os.environ, "BAGWRIGHT_DATA": str(tmp_path)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "(security." not in done.stderr


@pytest.mark.django_db
def test_no_migration_is_missing() -> None:
    call_command("makemigrations", "store", check=True, dry_run=True, verbosity=0)
