"""A tablet or second screen joins: a code that is read out, for one device, for ten minutes."""

from __future__ import annotations

import secrets
from datetime import timedelta

from django.contrib.auth.hashers import check_password, make_password
from django.db import transaction
from django.db.models import F, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from bagwright.bay import audit
from bagwright.bay.accounts import hash_of
from bagwright.bay.live import BELL
from bagwright.errors import InputError
from bagwright.store.models import Account, PairedDevice, PairingOffer, Visit
from bagwright.words import tell

OFFERED_FOR = timedelta(minutes=10)
PAIRED_FOR = timedelta(hours=12)
WRONG_TRIES = 5
SCREENS = ("bay", "player")
NOTED_EVERY = timedelta(minutes=1)
"""How exactly it is known when a device was last seen."""


class ClosedError(InputError):
    """Five wrong codes: pairing is closed."""


@transaction.atomic
def offer(account: Account, visit: Visit, screen: str) -> str:
    """Make a code for one device; returns it, which is not kept. Older codes end."""
    if screen not in SCREENS:
        raise InputError(
            tell('"{word}" is no screen.', word=screen[:20]), tell("Use {words}.", words=", ".join(SCREENS))
        )
    if visit.finished_at is not None:
        raise InputError(_("This visit is finished."), _("Open it again, then pair a screen."))
    open_offers().update(closed_at=timezone.now())
    code = f"{secrets.randbelow(10**8):08d}"
    PairingOffer.objects.create(
        code_hash=make_password(code),
        visit=visit,
        screen=screen,
        made_by=account,
        expires_at=timezone.now() + OFFERED_FOR,
    )
    audit.note(account, visit.player, "pairing offered", screen)
    return code


def open_offers() -> QuerySet[PairingOffer]:
    """Offers that a code may still be tried on."""
    return PairingOffer.objects.filter(
        used_at__isnull=True, closed_at__isnull=True, expires_at__gt=timezone.now()
    )


def redeem(code: str, label: str) -> tuple[PairedDevice, str]:
    """Use a code, once; returns the device and its key, of which only the hash is kept.

    A try is counted before the code is looked at, so that tries at the same moment are five together too.
    Raises InputError for a wrong code, ClosedError with the fifth one.
    """
    given = "".join(c for c in code if c.isascii() and c.isdecimal())[:12]
    current = open_offers().order_by("-pk").first()
    if current is None:
        raise InputError(_("No code is waiting."), _("Ask the professional for a new one."))
    counted = open_offers().filter(pk=current.pk, wrong_tries__lt=WRONG_TRIES)
    if not counted.update(wrong_tries=F("wrong_tries") + 1):
        raise ClosedError(*_closed())
    if not check_password(given, current.code_hash):
        _wrong(current)
    with transaction.atomic():
        if not open_offers().filter(pk=current.pk).update(used_at=timezone.now()):
            raise InputError(_("This code was used already."), _("Ask the professional for a new one."))
        key = secrets.token_urlsafe(32)
        device = PairedDevice.objects.create(
            key_hash=hash_of(key),
            visit=current.visit,
            screen=current.screen,
            label=label[:100],
            made_by=current.made_by,
            expires_at=timezone.now() + PAIRED_FOR,
        )
        audit.note(current.made_by, current.visit.player, "device paired", current.screen)
    return device, key


def _closed() -> tuple[str, str]:
    return _("Five wrong codes: pairing is closed."), _("Ask the professional to open it again.")


def _wrong(current: PairingOffer) -> None:
    """Say how many tries are left; the fifth wrong one ends every code. Raises InputError."""
    current.refresh_from_db(fields=["wrong_tries"])
    left = WRONG_TRIES - current.wrong_tries
    if left <= 0:
        open_offers().update(closed_at=timezone.now())
        audit.note(current.made_by, current.visit.player, "pairing closed", "five wrong codes")
        raise ClosedError(*_closed())
    raise InputError(_("This is not the code."), _("Look again; %(n)s tries are left.") % {"n": left})


def withdraw(account: Account, visit: Visit) -> None:
    """Make every code that waits useless."""
    open_offers().update(closed_at=timezone.now())
    audit.note(account, visit.player, "pairing withdrawn")


def waiting(visit: Visit) -> PairingOffer | None:
    """The code of this visit that waits for its device."""
    return open_offers().filter(visit=visit).order_by("-pk").first()


def device_of(key: str) -> PairedDevice | None:
    """The device of a key: not revoked, not expired, and its visit not finished."""
    if not key:
        return None
    found = _living().filter(key_hash=hash_of(key)).first()
    if found is not None and (found.seen_at is None or timezone.now() - found.seen_at > NOTED_EVERY):
        PairedDevice.objects.filter(pk=found.pk).update(seen_at=timezone.now())
    return found


def still_paired(device_id: int) -> bool:
    """True while a device may go on; asked by streams that were opened before it was cut off."""
    return _living().filter(pk=device_id).exists()


def _living() -> QuerySet[PairedDevice]:
    return PairedDevice.objects.filter(
        revoked_at__isnull=True, expires_at__gt=timezone.now(), visit__finished_at__isnull=True
    )


def devices_of(visit: Visit) -> QuerySet[PairedDevice]:
    """The devices that may see a visit now."""
    return _living().filter(visit=visit).order_by("pk")


@transaction.atomic
def revoke(account: Account, visit: Visit, device_id: int) -> None:
    """Cut a device off."""
    visit.devices.filter(pk=device_id).update(revoked_at=timezone.now())
    audit.note(account, visit.player, "device cut off")
    visit_id = visit.pk
    transaction.on_commit(lambda: BELL.ring(visit_id))
