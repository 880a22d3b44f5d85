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
from bagwright.errors import InputError
from bagwright.store.models import Account, PairedDevice, PairingOffer, Visit

OFFERED_FOR = timedelta(minutes=10)
PAIRED_FOR = timedelta(hours=12)
WRONG_TRIES = 5
SCREENS = ("bay", "player")


class ClosedError(InputError):
    """Five wrong codes: pairing is closed."""


@transaction.atomic
def offer(account: Account, visit: Visit, screen: str) -> str:
    """Make a code for one device; returns it, which is not kept. Older codes end."""
    if screen not in SCREENS:
        raise InputError(f'"{screen[:20]}" is no screen.', f"Use {', '.join(SCREENS)}.")
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

    Raises InputError for a wrong code, ClosedError with the fifth one.
    """
    given = "".join(c for c in code if c.isdecimal())[:12]
    current = open_offers().order_by("-pk").first()
    if current is None:
        raise InputError(_("No code is waiting."), _("Ask the professional for a new one."))
    if not check_password(given, current.code_hash):
        _count_wrong(current)
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


def _count_wrong(current: PairingOffer) -> None:
    PairingOffer.objects.filter(pk=current.pk).update(wrong_tries=F("wrong_tries") + 1)
    current.refresh_from_db()
    if current.wrong_tries >= WRONG_TRIES:
        open_offers().update(closed_at=timezone.now())
        raise ClosedError(
            _("Five wrong codes: pairing is closed."), _("Ask the professional to open it again.")
        )
    raise InputError(
        _("This is not the code."),
        _("Look again; %(n)s tries are left.") % {"n": WRONG_TRIES - current.wrong_tries},
    )


def device_of(key: str) -> PairedDevice | None:
    """The device of a key that is neither revoked nor expired."""
    if not key:
        return None
    found = PairedDevice.objects.filter(
        key_hash=hash_of(key), revoked_at__isnull=True, expires_at__gt=timezone.now()
    ).first()
    if found is not None:
        PairedDevice.objects.filter(pk=found.pk).update(seen_at=timezone.now())
    return found


def devices_of(visit: Visit) -> QuerySet[PairedDevice]:
    """The devices that may see a visit now."""
    return visit.devices.filter(revoked_at__isnull=True, expires_at__gt=timezone.now())


def revoke(account: Account, visit: Visit, device_id: int) -> None:
    """Cut a device off."""
    visit.devices.filter(pk=device_id).update(revoked_at=timezone.now())
    audit.note(account, visit.player, "device cut off")
