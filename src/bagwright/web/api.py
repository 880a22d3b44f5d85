"""The door for other software: read a visit, send its shots. JSON with SI-free units named in each field.

Sent with a token of the settings page (`Authorization: Bearer ...`) or by a page of this site itself. Every
error has one shape: {"error": {"message": ..., "next_step": ...}}.
"""

from __future__ import annotations

import hashlib
from typing import Annotated, Any, Literal

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from ninja import NinjaAPI, Schema, Status
from ninja.errors import AuthenticationError, HttpError, ValidationError
from ninja.security import HttpBearer
from ninja.security.base import AuthBase
from pydantic import ConfigDict, Field

from bagwright.bay import following, planning, shots
from bagwright.bay.language import here
from bagwright.errors import BagwrightError
from bagwright.shots.record import MEASURES
from bagwright.store.models import Account, ApiToken, Player, ShotRecord, Visit
from bagwright.web.middleware.guard import is_paired
from bagwright.web.middleware.trouble import status_of

PREFIX = "bw_"


class TokenAuth(HttpBearer):
    """A token made on the settings page; what it may do is what its account may do."""

    def authenticate(self, request: HttpRequest, token: str) -> Account | None:
        """The account of a token that was not revoked, else None."""
        digest = hashlib.sha256(token.encode()).hexdigest()
        found = (
            ApiToken.objects.select_related("account")
            .filter(token_hash=digest, revoked_at__isnull=True, account__is_active=True)
            .exclude(account__role="workshop")
            .first()
        )
        if found is None:
            return None
        ApiToken.objects.filter(pk=found.pk).update(used_at=timezone.now())
        return found.account


class PageAuth(AuthBase):
    """The account of a page of this site, with the page's token against foreign forms."""

    openapi_type = "apiKey"
    openapi_name = "sessionid"
    openapi_in = "cookie"

    def __call__(self, request: HttpRequest) -> Account | None:
        """The account that is logged in; in single mode this machine's."""
        from ninja.utils import check_csrf

        user = request.user
        if is_paired(request) or not isinstance(user, Account) or not user.is_active:
            return None
        if request.method not in ("GET", "HEAD") and check_csrf(request) is not None:
            raise HttpError(403, "The page's token is missing.")
        return user


class ErrorBody(Schema):
    """What is wrong, with the value, and what to do."""

    message: str
    next_step: str = ""


class Error(Schema):
    """The one shape of every error."""

    error: ErrorBody


class VisitOut(Schema):
    """A visit: who takes part, and what is next."""

    id: int
    kind: str
    started_at: str
    revision: int
    balls: int
    candidates: list[dict[str, Any]]
    next: dict[str, Any] | None


class ShotOut(Schema):
    """A stored shot; missing figures are null."""

    number: int
    key: str
    club: str
    club_id: int
    swing: str
    mark: str
    mark_reason: str
    taken_out: bool
    figures: dict[str, float | None]


class ShotIn(Schema):
    """A shot to store. Figures carry their unit in the name (`carry_m`, `launch_rad`); others are refused.

    `key` makes it one shot however often it is sent; the header `Idempotency-Key` may carry it instead.
    """

    model_config = ConfigDict(extra="forbid")

    key: Annotated[str | None, Field(min_length=8, max_length=64, pattern=r"^[A-Za-z0-9_.:-]+$")] = None
    club_id: Annotated[int | None, Field(ge=1, le=2**62)] = None
    club: Annotated[str | None, Field(max_length=200)] = None
    swing: Literal["stock", "gripped-down", "flat-out", "three-quarter", "half"] = "stock"
    mark: Literal["", "warm-up", "mishit", "bad-read"] = ""
    reason: Annotated[str, Field(max_length=200)] = ""
    note: Annotated[str, Field(max_length=2000)] = ""
    carry_at_least: bool = False
    figures: dict[str, Annotated[float, Field(allow_inf_nan=False)]] = {}


class Stored(Schema):
    """The shot as it is stored, and whether it is new."""

    new: bool
    shot: ShotOut


api = NinjaAPI(
    title="bagwright",
    version="1",
    auth=[TokenAuth(), PageAuth()],
    docs_url=None,
    urls_namespace="api",
    description="Read visits and send shots. Figures are SI; names carry the unit.",
)
ERRORS: dict[int, Any] = {400: Error, 401: Error, 403: Error, 404: Error, 409: Error, 413: Error, 422: Error}


def failed(request: HttpRequest, status: int, message: str, next_step: str = "") -> HttpResponse:
    """An error in the one shape."""
    return api.create_response(
        request, {"error": {"message": message, "next_step": next_step}}, status=status
    )


@api.exception_handler(BagwrightError)
def _told(request: HttpRequest, error: BagwrightError) -> HttpResponse:
    return failed(request, status_of(error), here(error.message), here(error.next_step))


@api.exception_handler(Http404)
def _missing(request: HttpRequest, error: Http404) -> HttpResponse:
    return failed(request, 404, "There is nothing here, or nothing that this account may see.")


@api.exception_handler(AuthenticationError)
def _nobody(request: HttpRequest, error: AuthenticationError) -> HttpResponse:
    return failed(request, 401, "No valid token was sent.", "Make one on the settings page.")


@api.exception_handler(HttpError)
def _http(request: HttpRequest, error: HttpError) -> HttpResponse:
    return failed(request, error.status_code, str(error))


@api.exception_handler(ValidationError)
def _invalid(request: HttpRequest, error: ValidationError) -> HttpResponse:
    first = error.errors[0] if error.errors else {}
    where = ".".join(str(part) for part in first.get("loc", ())[2:]) or "the request"
    return failed(
        request, 422, f"{where}: {first.get('msg', 'not understood')}", "Correct it and send it again."
    )


def account_of(request: HttpRequest) -> Account:
    """The account that a token or page stands for."""
    found = getattr(request, "auth", None)
    if not isinstance(found, Account):
        raise AuthenticationError
    return found


def visit_of(request: HttpRequest, visit_id: int, *, change: bool = False) -> Visit:
    """A visit that the account may see, or change. Raises Http404 otherwise."""
    account = account_of(request)
    players = Player.objects.changed_by(account) if change else Player.objects.seen_by(account)
    found = Visit.objects.select_related("player").filter(pk=visit_id, player__in=players).first()
    if found is None:
        raise Http404
    return found


VisitId = Annotated[int, Field(ge=1, le=2**62)]
Number = Annotated[int, Field(ge=0, le=2**62)]


@api.get("/visits", response={200: list[VisitOut], **ERRORS}, summary="Visits that are not finished")
def open_visits(request: HttpRequest) -> Any:
    """The account's open visits, newest first, at most 50."""
    players = Player.objects.seen_by(account_of(request))
    found = Visit.objects.filter(player__in=players, finished_at__isnull=True)
    return Status(200, [described(visit) for visit in found.select_related("player")[:50]])


@api.get("/visits/{visit_id}", response={200: VisitOut, **ERRORS}, summary="One visit")
def one_visit(request: HttpRequest, visit_id: VisitId) -> Any:
    """A visit with its candidates and the ball that is to be hit next."""
    return Status(200, described(visit_of(request, visit_id)))


@api.get("/visits/{visit_id}/shots", response={200: list[ShotOut], **ERRORS}, summary="Shots of a visit")
def list_shots(
    request: HttpRequest, visit_id: VisitId, after: Annotated[int, Field(ge=0, le=2**62)] = 0
) -> Any:
    """The shots numbered above `after`, in order, at most 500."""
    visit = visit_of(request, visit_id)
    rows = visit.shots.select_related("club").filter(number__gt=after).order_by("number")[:500]
    return Status(200, [shown(row) for row in rows])


@api.post("/visits/{visit_id}/shots", response={200: Stored, 201: Stored, **ERRORS}, summary="Store a shot")
def send_shot(request: HttpRequest, visit_id: VisitId, shot: ShotIn) -> Any:
    """Store one shot: 201 where it is new, 200 where it was there already."""
    visit = visit_of(request, visit_id, change=True)
    key = shot.key or request.headers.get("Idempotency-Key", "")
    entry = shots.Entry(
        key=key,
        club_id=club_of(visit, shot),
        values=shot.figures,
        swing=shot.swing,
        mark=shot.mark,
        reason=shot.reason,
        note=shot.note,
        carry_at_least=shot.carry_at_least,
        source="api",
    )
    added = shots.add_shot(visit, account_of(request), entry)
    return Status(201 if added.new else 200, {"new": added.new, "shot": shown(added.shot)})


def club_of(visit: Visit, shot: ShotIn) -> int:
    """The club of a shot by id, by name, or the one that is due. 0, which is no club, where none is known."""
    if shot.club_id is not None:
        return shot.club_id
    if shot.club is not None:
        found = visit.player.clubs.filter(name=shot.club, removed_at__isnull=True).first()
        return found.pk if found is not None else 0
    due = following.next_ball(visit)
    return due.club_id if due is not None else 0


def described(visit: Visit) -> dict[str, Any]:
    """A visit as the API shows it: nothing of the player."""
    due = following.next_ball(visit)
    return {
        "id": visit.pk,
        "kind": visit.kind,
        "started_at": visit.started_at.isoformat(),
        "revision": visit.revision,
        "balls": visit.shot_count,
        "candidates": [
            {"club_id": c.club_id, "club": c.club.name, "present": c.present}
            for c in planning.taking_part(visit)
        ],
        "next": None if due is None else {"club_id": due.club_id, "club": due.club.name, "swing": due.swing},
    }


def shown(row: ShotRecord) -> dict[str, Any]:
    """A shot as the API shows it."""
    return {
        "number": row.number,
        "key": row.client_key,
        "club": row.club.name,
        "club_id": row.club_id,
        "swing": row.swing,
        "mark": row.mark,
        "mark_reason": row.mark_reason,
        "taken_out": row.undone_at is not None,
        "figures": {name: getattr(row, name) for name in MEASURES},
    }
