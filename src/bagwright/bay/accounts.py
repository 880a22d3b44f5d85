"""Accounts: the first one, invitations, roles, passwords, sessions, tokens, sharing."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import unicodedata
from datetime import timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Count, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.sessions import end_sessions
from bagwright.errors import InputError
from bagwright.store.models import Account, ApiToken, Invitation, Player, PlayerShare
from bagwright.words import tell

INVITED_FOR = timedelta(hours=72)
ROLES = ("owner", "coach", "workshop")
SETUP_TRIES = 10
OWN_PART = 8
"""So many characters of a password must be left when the name is taken out of it."""
_SETUP: dict[str, str] = {}
_WRONG = {"setup": 0}


def role_words() -> list[tuple[str, str]]:
    """Each role with the word for it."""
    words = {"owner": _("owner"), "coach": _("coach"), "workshop": _("workshop")}
    return [(role, words[role]) for role in ROLES]


def with_players() -> QuerySet[Account]:
    """Every account, with `kept`: of how many players it is the coach."""
    return Account.objects.filter(single=False).annotate(kept=Count("players")).order_by("name")


def hash_of(token: str) -> str:
    """What is kept of a token: enough to know it again, not to use it."""
    return hashlib.sha256(token.encode()).hexdigest()


def setup_code() -> str:
    """The code that makes the first account, printed where the program was started; one a start."""
    return _SETUP.setdefault("code", f"{secrets.randbelow(10**8):08d}")


def needs_first() -> bool:
    """True while there is no account that anybody can log in with."""
    return not Account.objects.filter(single=False, is_active=True).exists()


@transaction.atomic
def make_first(code: str, name: str, password: str) -> Account:
    """Make the first account, an owner's. Raises InputError for a wrong code or once there is one."""
    if not needs_first():
        raise InputError(_("There is an account already."), _("Log in, or ask its owner for an invitation."))
    _check_setup_code(code)
    return _make(name, password, "owner", Account.objects.filter(single=True).first())


def _check_setup_code(code: str) -> None:
    """Compare in constant time; ten wrong codes close the door until the program is started again."""
    if _WRONG["setup"] >= SETUP_TRIES:
        raise InputError(
            _("Too many wrong codes."), _("Start bagwright again: it shows a new code, and tries count anew.")
        )
    if not hmac.compare_digest(code.strip().encode(), setup_code().encode()):
        _WRONG["setup"] += 1
        raise InputError(
            _("This is not the code of this start."),
            _("It stands in the window where bagwright was started."),
        )


def plain_name(name: str) -> str:
    """A name as it is compared: one way to write each letter, no space around it."""
    return unicodedata.normalize("NFKC", name).strip()


def _make(name: str, password: str, role: str, takes_over: Account | None = None) -> Account:
    """Make an account; the one of a machine without log-in (`takes_over`) becomes this person's, with its players."""
    name = plain_name(name)
    if not 2 <= len(name) <= 100 or not name.isprintable():
        raise InputError(_("A name has 2 to 100 characters."), _("Choose another name."))
    if Account.objects.filter(name__iexact=name).exists():
        raise InputError(_("This name is taken."), _("Choose another name."))
    account = takes_over or Account()
    account.name, account.role, account.single, account.is_active = name, role, False, True
    check_password(password, account)
    account.set_password(password)
    account.save()
    audit.note(account, None, "account made", role)
    return account


def check_password(password: str, account: Account) -> None:
    """Raise InputError for a password that is too short, too common, or too like the name."""
    try:
        validate_password(password, account)
    except ValidationError as error:
        raise InputError(
            " ".join(error.messages), _("Twelve characters or more; a few words do well.")
        ) from error
    if len(password.casefold().replace(account.name.casefold(), "")) < OWN_PART:
        raise InputError(_("The password is little but the name."), _("A few words of your own do well."))


def invite(owner: Account, role: str) -> str:
    """Make an invitation; returns its token, which is not kept."""
    if role not in ROLES:
        raise InputError(
            tell('"{word}" is no role.', word=role[:20]), tell("Use {words}.", words=", ".join(ROLES))
        )
    token = secrets.token_urlsafe(32)
    Invitation.objects.create(
        token_hash=hash_of(token), role=role, made_by=owner, expires_at=timezone.now() + INVITED_FOR
    )
    audit.note(owner, None, "invited", role)
    return token


def invitation_of(token: str) -> Invitation | None:
    """The invitation of a token that may still be used."""
    return open_invitations().filter(token_hash=hash_of(token)).first()


@transaction.atomic
def join(token: str, name: str, password: str) -> Account:
    """Use an invitation, once."""
    found = invitation_of(token)
    used = 0
    if found is not None:
        used = Invitation.objects.filter(pk=found.pk, used_at__isnull=True).update(used_at=timezone.now())
    if found is None or not used:
        raise InputError(_("This invitation cannot be used any more."), _("Ask for a new one."))
    return _make(name, password, found.role)


@transaction.atomic
def change_role(owner: Account, account: Account, role: str) -> None:
    """Give another role. The last owner stays one."""
    if role not in ROLES:
        raise InputError(
            tell('"{word}" is no role.', word=role[:20]), tell("Use {words}.", words=", ".join(ROLES))
        )
    if account.role == "owner" and role != "owner":
        _refuse_last_owner(account)
    Account.objects.filter(pk=account.pk).update(role=role)
    audit.note(owner, None, "role changed", f"{account.pk}: {role}")


@transaction.atomic
def close(owner: Account, account: Account, *, again: bool = False) -> None:
    """Close an account, or open it again. Closing ends its sessions; its players stay."""
    if not again and account.role == "owner":
        _refuse_last_owner(account)
    Account.objects.filter(pk=account.pk).update(is_active=again)
    if not again:
        end_sessions(account)
        ApiToken.objects.filter(account=account).update(revoked_at=timezone.now())
    audit.note(owner, None, "account opened" if again else "account closed", str(account.pk))


@transaction.atomic
def give_players(owner: Account, closed: Account, name: str) -> int:
    """Give the players of a closed account to a colleague; how many. An open account keeps its own."""
    if closed.is_active:
        raise InputError(_("This account is open."), _("Close it first; or let its coach share the players."))
    colleague = Account.objects.filter(name=name, is_active=True, single=False).first()
    if colleague is None or colleague.role == "workshop":
        raise InputError(
            _('No colleague is named "%(name)s".') % {"name": name[:60]}, _("Choose one of the list.")
        )
    players = list(Player.objects.filter(coach=closed))
    PlayerShare.objects.filter(player__coach=closed, account=colleague).delete()
    Player.objects.filter(coach=closed).update(coach=colleague)
    for player in players:
        audit.note(owner, player, "given to a colleague", f"{closed.pk} to {colleague.pk}")
    return len(players)


@transaction.atomic
def revoke_invitation(owner: Account, invitation_id: int) -> None:
    """Make an invitation useless."""
    Invitation.objects.filter(pk=invitation_id, used_at__isnull=True).update(revoked_at=timezone.now())
    audit.note(owner, None, "invitation revoked", str(invitation_id))


def open_invitations() -> QuerySet[Invitation]:
    """Invitations that may still be used."""
    return Invitation.objects.filter(
        used_at__isnull=True, revoked_at__isnull=True, expires_at__gt=timezone.now()
    ).order_by("expires_at")


def _refuse_last_owner(account: Account) -> None:
    owners = Account.objects.select_for_update().filter(role="owner", is_active=True, single=False)
    if all(one.pk == account.pk for one in owners):
        raise InputError(_("This is the last owner."), _("Make somebody else an owner first."))


@transaction.atomic
def change_password(account: Account, old: str, new: str, *, keep: str = "") -> None:
    """Change one's own password; every other session ends (`keep` is the one that goes on)."""
    if not account.check_password(old):
        raise InputError(_("The present password is not this one."), _("Type it again."))
    check_password(new, account)
    account.set_password(new)
    account.save(update_fields=["password"])
    end_sessions(account, keep=keep)
    audit.note(account, None, "password changed")


def make_token(account: Account, label: str) -> str:
    """Make a token for other software; returned once, not kept."""
    token = f"bw_{secrets.token_urlsafe(32)}"
    ApiToken.objects.create(token_hash=hash_of(token), account=account, label=label.strip()[:100])
    audit.note(account, None, "token made")
    return token


@transaction.atomic
def revoke_token(account: Account, token_id: int) -> None:
    """Make one's own token useless."""
    ApiToken.objects.filter(pk=token_id, account=account).update(revoked_at=timezone.now())
    audit.note(account, None, "token revoked")


@transaction.atomic
def share(owner: Account, player: Player, name: str, *, may_change: bool) -> PlayerShare:
    """Let a colleague see a player, perhaps change it. Raises InputError for nobody of that name."""
    colleague = Account.objects.filter(name=name, is_active=True, single=False).exclude(pk=owner.pk).first()
    if colleague is None or colleague.role == "workshop":
        raise InputError(
            _('No colleague is named "%(name)s".') % {"name": name[:60]}, _("Choose one of the list.")
        )
    made, _new = PlayerShare.objects.update_or_create(
        player=player, account=colleague, defaults={"may_change": may_change}
    )
    audit.note(owner, player, "shared", str(colleague.pk))
    return made


@transaction.atomic
def unshare(owner: Account, player: Player, share_id: int) -> None:
    """Stop sharing."""
    PlayerShare.objects.filter(pk=share_id, player=player).delete()
    audit.note(owner, player, "sharing ended")
