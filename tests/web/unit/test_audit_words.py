"""Whatever the program notes in the audit list has words that a reader of the page understands."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.test import Client

import bagwright
from bagwright.bay import audit
from bagwright.store.models import Account, Player
from bagwright.web.templatetags.audited import ACTIONS

ROOT = Path(bagwright.__file__).parent


def noted() -> Iterator[str]:
    """Every action in a call of `audit.note`, also where it is one of two."""
    for path in sorted(ROOT.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "audit.note" and len(node.args) > 2:
                yield from _texts(node.args[2])


def _texts(node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.Constant):
        yield str(node.value)
    elif isinstance(node, ast.IfExp):
        yield from _texts(node.body)
        yield from _texts(node.orelse)


def test_every_action_has_its_words() -> None:
    found = set(noted())
    assert len(found) > 40
    assert sorted(found - set(ACTIONS)) == []


@pytest.mark.django_db
def test_the_page_speaks_german(client: Client, account: Account, player: Player) -> None:
    Account.objects.filter(pk=account.pk).update(language="de")
    audit.note(account, player, "handed over", "report")
    audit.note(account, player, "something of an older program")
    page = client.get("/audit/").content.decode()
    assert "Papiere übergeben" in page
    assert "dieser Rechner" in page
    assert "something of an older program" in page
    assert '<option value="handed over">' in page
    assert "Papiere übergeben" in client.get("/audit/?action=handed+over").content.decode()
