"""Who may work here: accounts, invitations, paired devices, tokens, the audit list, the shop's settings."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models

from bagwright.store.models.base import text

ROLES = (("owner", "owner"), ("coach", "coach"), ("workshop", "workshop"))


class AccountManager(BaseUserManager["Account"]):
    """Makes accounts; there is none by default and no default password."""

    def create_user(self, name: str, password: str | None = None, **fields: Any) -> Account:
        """Make an account; `password=None` is one that nobody can log in with."""
        account = self.model(name=self.model.normalize_username(name), **fields)
        account.set_password(password)
        account.save(using=self._db)
        return account


class Account(AbstractBaseUser):
    """A person who works with the program. The owner runs the shop, a coach sees players, a workshop builds.

    `single` marks the one account of a machine without log-in.
    """

    name = models.CharField(max_length=100, unique=True)
    role = models.CharField(max_length=10, choices=ROLES, default="coach")
    single = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)
    language = text(10)
    units = text(10)
    created_at = models.DateTimeField(auto_now_add=True)

    USERNAME_FIELD = "name"
    REQUIRED_FIELDS: ClassVar[list[str]] = []
    objects = AccountManager()

    def __str__(self) -> str:
        return self.name


class Invitation(models.Model):
    """A link that lets one person make one account; only the hash of its token is kept."""

    token_hash = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=10, choices=ROLES)
    made_by = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="invitations")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)


class PairingOffer(models.Model):
    """A pairing code that the professional reads out: short-lived, one device, closed by five wrong tries."""

    code_hash = models.CharField(max_length=128)
    visit = models.ForeignKey("store.Visit", on_delete=models.CASCADE, related_name="pairing_offers")
    screen = models.CharField(max_length=10, choices=(("bay", "bay"), ("player", "player")))
    made_by = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="+")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    wrong_tries = models.PositiveSmallIntegerField(default=0)
    used_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)


class PairedDevice(models.Model):
    """A tablet or second screen that gave the right code: it may see one visit until it is revoked."""

    key_hash = models.CharField(max_length=64, unique=True)
    visit = models.ForeignKey("store.Visit", on_delete=models.CASCADE, related_name="devices")
    screen = models.CharField(max_length=10, choices=(("bay", "bay"), ("player", "player")))
    label = text(100)
    made_by = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="devices")
    created_at = models.DateTimeField(auto_now_add=True)
    expires_at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)


class ApiToken(models.Model):
    """A token for other software; only its hash is kept, and it can do what its account can."""

    token_hash = models.CharField(max_length=64, unique=True)
    account = models.ForeignKey(Account, on_delete=models.CASCADE, related_name="tokens")
    label = text(100)
    created_at = models.DateTimeField(auto_now_add=True)
    used_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)


class AuditEntry(models.Model):
    """Who saw or changed which player, when. Holds no personal data beside the references."""

    at = models.DateTimeField(auto_now_add=True, db_index=True)
    account = models.ForeignKey(Account, null=True, on_delete=models.SET_NULL, related_name="+")
    player = models.ForeignKey("store.Player", null=True, on_delete=models.CASCADE, related_name="audit")
    action = models.CharField(max_length=40)
    detail = text(200)


class ShopSettings(models.Model):
    """One row: how this shop wants things shown. `entry_form` is the form of a typed shot, as JSON."""

    units = models.CharField(max_length=10, default="yards")
    language = models.CharField(max_length=10, default="en")
    paper = models.CharField(max_length=10, default="a4")
    step_rules = text(20)
    entry_form = models.JSONField(null=True, blank=True)
    shop_name = text(100)
    seller_interest = text(500)
    logo = models.BinaryField(null=True, blank=True)
    logo_kind = text(10)
    version = models.PositiveIntegerField(default=1)
