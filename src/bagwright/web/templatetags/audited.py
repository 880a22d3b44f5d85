"""The audit list in the reader's words; what is stored keeps its own."""

from __future__ import annotations

from django import template
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from bagwright.store.models import Account

register = template.Library()

ACTIONS = {
    "account closed": _("account closed"), "account made": _("account made"),
    "account opened": _("account opened again"), "added": _("player added"),
    "agreed bag taken back": _("agreed bag taken back"), "archived": _("player put away"),
    "bag agreed": _("bag agreed"), "bag exported": _("bag exported"), "brought back": _("player brought back"),
    "built club carried": _("built club carried"), "changed": _("player changed"),
    "club added": _("club added"), "club brought back": _("club brought back"),
    "club changed": _("club changed"), "club checked": _("club checked"),
    "club corrected": _("club corrected"), "club measured": _("club measured"), "club moved": _("club moved"),
    "club rebuilt": _("club rebuilt"), "club status": _("status of a club"),
    "club taken out": _("club taken out"), "course added": _("course added"), "course back": _("course back"),
    "course corrected": _("course corrected"), "course heights given": _("heights of a course given"),
    "course heights taken away": _("heights of a course taken away"),
    "course correction put back": _("correction of a course put back"),
    "course correction undone": _("correction of a course undone"),
    "course no more played": _("course no more played"), "course played": _("course played"),
    "course put aside": _("course put aside"), "decided": _("decided"),
    "decision withdrawn": _("decision taken back"), "delivered": _("built club accepted"),
    "delivery taken back": _("delivery taken back"), "device cut off": _("device cut off"),
    "device paired": _("device paired"),
    "doubt asked for": _("doubt of strokes asked for"), "given to a colleague": _("given to a colleague"),
    "handed over": _("papers handed over"), "invitation revoked": _("invitation revoked"),
    "invited": _("invited"), "link made": _("link made"), "link revoked": _("link revoked"),
    "logo changed": _("logo changed"), "next check set": _("next check set"), "opened": _("player opened"),
    "pairing closed": _("pairing closed"), "pairing offered": _("pairing offered"),
    "pairing withdrawn": _("pairing withdrawn"), "password changed": _("password changed"),
    "pick asked for": _("best bag asked for"), "pick stopped": _("search of the best bag stopped"),
    "rack club added": _("demo club added"), "rack club back": _("demo club back on the rack"),
    "rack club changed": _("demo club changed"), "rack club lent": _("demo club lent"),
    "rack club looked over": _("demo club looked over"), "rack club retired": _("demo club taken off the rack"),
    "rack club returned": _("demo club returned"), "rack clubs added": _("demo clubs added"),
    "role changed": _("role changed"), "sent back": _("built club sent back"),
    "settings changed": _("settings changed"), "shared": _("player shared"),
    "sharing ended": _("sharing ended"), "strokes asked for": _("strokes asked for"),
    "strokes stopped": _("strokes stopped"), "studied": _("read by a study"),
    "token made": _("token made"), "token revoked": _("token revoked"),
    "visit finished": _("visit finished"), "visit opened again": _("visit opened again"),
    "visit put aside": _("visit put aside"), "visit started": _("visit started"),
    "visit taken back": _("visit taken back"),
}  # fmt: skip
"""What the list may hold, in words; the test holds it against the code."""


@register.filter
def action_words(action: str) -> str:
    """What was done, in words."""
    return str(ACTIONS.get(action, action))


@register.filter
def account_words(account: Account | None) -> str:
    """Who did it: a name, or this machine where nobody logs in."""
    if account is None:
        return "–"
    return gettext("this machine") if account.single else account.name
