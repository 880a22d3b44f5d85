"""What leaves the app: names of downloads, and the door for software looked at by everybody."""

from __future__ import annotations

import hashlib
import re

import pytest
from django.test import Client

from bagwright.store.models import Account, ApiToken, Player, Visit
from tests.web.unit.test_security import POST_ONLY, address, all_routes, shop  # noqa: F401

NAME = "a\"b.pdf; filename=evil.exe; filename*=UTF-8''evil “ü”"
PLAIN = re.compile(r'(inline|attachment); filename="[a-z0-9][a-z0-9.-]*\.(pdf|toml|geojson|json|csv|svg)"')
"""RFC 6266 with a plain token in quotes: nothing of it was typed by anybody."""


def test_no_download_takes_its_name_from_what_somebody_typed(
    shop: dict[str, Client],  # noqa: F811
    visit: Visit,
) -> None:
    Player.objects.filter(pk=visit.player_id).update(name=NAME)
    Visit.objects.filter(pk=visit.pk).update(place=NAME, note=NAME)
    found = {}
    for route in all_routes():
        name = str(route.name)
        if name in POST_ONLY or name == "live":
            continue
        for who in ("alice", "wim"):
            answer = shop[who].get(address(route, visit))
            if "Content-Disposition" in answer:
                found[name] = answer["Content-Disposition"]
    assert {"paper", "paper-given", "bag-file"} <= set(found)
    assert {name: said for name, said in found.items() if not PLAIN.fullmatch(said)} == {}


@pytest.mark.parametrize(
    ("path", "method"),
    [
        ("/api/visits", "get"),
        ("/api/visits/{}", "get"),
        ("/api/visits/{}/shots", "get"),
        ("/api/visits/{}/shots", "post"),
    ],
)
def test_the_door_for_software_knows_its_people(
    shop: dict[str, Client],  # noqa: F811
    visit: Visit,
    path: str,
    method: str,
) -> None:
    """The owner and who was invited 200, a stranger 404 or nothing, the workshop and nobody 401."""
    statuses = {}
    clients = {who: {"Authorization": f"Bearer bw_{who}"} for who in ("alice", "bob", "charlie", "wim")}
    for who in clients:
        ApiToken.objects.create(
            token_hash=hashlib.sha256(f"bw_{who}".encode()).hexdigest(), account=Account.objects.get(name=who)
        )
    clients["nobody"] = {}
    clients["wrong"] = {"Authorization": "Bearer bw_alic"}
    before = visit.shots.count()
    for who, headers in clients.items():
        where = path.format(visit.pk)
        if method == "get":
            answer = Client().get(where, headers=headers)
            statuses[who] = answer.status_code
            if who == "charlie" and answer.status_code == 200:
                assert answer.json() == []
        else:
            ball = {"key": f"door-{who}-1", "club": "Gap wedge", "figures": {"carry_m": 90.0}}
            statuses[who] = (
                Client().post(where, ball, content_type="application/json", headers=headers).status_code
            )
    fine = 201 if method == "post" else 200
    # A colleague who may only look stores nothing.
    assert statuses["alice"] == fine
    assert statuses["bob"] == (404 if method == "post" else 200)
    assert statuses["charlie"] in ((200,) if path == "/api/visits" else (404,))
    assert {statuses["wim"], statuses["nobody"], statuses["wrong"]} == {401}
    assert visit.shots.count() == before + (method == "post")


def test_the_table_above_names_every_operation_of_the_door(client: Client, db: None) -> None:
    told = client.get("/api/openapi.json").json()["paths"]
    operations = {(path.replace("{visit_id}", "{}"), how) for path, ways in told.items() for how in ways}
    mark = test_the_door_for_software_knows_its_people.pytestmark[0]  # type: ignore[attr-defined]
    assert operations == set(mark.args[1])
