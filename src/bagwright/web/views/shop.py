"""The shop's things: the rack, the settings, the workshop's list."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from bagwright.bay import clubtable, rack, shopping
from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.errors import BagwrightError, InputError
from bagwright.store.models import Account, Paper, RackClub
from bagwright.web.views.bags_forms import KIND_WORDS
from bagwright.web.views.common import account_of
from bagwright.web.views.forms_shop import OwnForm, RackForm, ShopForm
from bagwright.web.views.saving import saved


@require_safe
def rack_list(request: HttpRequest) -> HttpResponse:
    """The demo clubs, for one hand or kind where wanted; `retired` shows what was taken off."""
    hand, kind = request.GET.get("hand", ""), request.GET.get("kind", "")
    retired = request.GET.get("retired") == "1"
    told = {
        "rows": rack.rows(rack.found(hand, kind, retired=retired)),
        "hand": hand,
        "kind": kind,
        "retired": retired,
        "kinds": KIND_WORDS,
        "missing": [] if retired else rack.missing_hands(rack.found(kind=kind), dict(KIND_WORDS)),
    }
    return render(request, "web/shop/rack.html", told)


@require_http_methods(["GET", "HEAD", "POST"])
def rack_import(request: HttpRequest) -> HttpResponse:
    """Put a pasted table on the rack: shown first with every line, stored when confirmed."""
    account = account_of(request)
    told: dict[str, Any] = {name: request.POST.get(name, "") for name in ("text", "hand", "place")}
    if request.method != "POST":
        return render(request, "web/shop/rack_import.html", told)
    try:
        told["read"] = read = clubtable.read_text(told["text"], [])
        if "confirm" in request.POST and read.bag.clubs:
            made = rack.take_over(account, read.bag, told["hand"], told["place"])
            messages.success(request, _("%(n)s demo clubs were added.") % {"n": len(made)})
            return redirect("rack")
    except BagwrightError as error:
        told["told"] = {"message": error.message, "next_step": error.next_step}
        told["text"] = told["text"][: clubtable.MOST_CHARACTERS]
    return render(request, "web/shop/rack_import.html", told, status=422 if "told" in told else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def rack_new(request: HttpRequest) -> HttpResponse:
    """Put a demo club on the rack."""
    account = account_of(request)
    form = RackForm(request.POST or None, system=request.system, instance=RackClub())  # type: ignore[attr-defined]

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        rack.add(account, values)
        return redirect("rack")

    if request.method == "POST":
        return saved(request, form, save, "web/shop/rack_club.html", {})
    return render(request, "web/shop/rack_club.html", {"form": form})


@require_http_methods(["GET", "HEAD", "POST"])
def rack_edit(request: HttpRequest, rack_id: int) -> HttpResponse:
    """Change, lend, take back, or retire a demo club."""
    account = account_of(request)
    club = RackClub.objects.filter(pk=rack_id).first()
    if club is None:
        raise Http404
    if request.method == "POST" and any(
        name in request.POST for name in ("lend", "return", "retire", "checked")
    ):
        rack_step(request, account, club)
        return redirect("rack")
    form = RackForm(request.POST or None, system=request.system, instance=club)  # type: ignore[attr-defined]

    def save(values: dict[str, Any], version: int) -> HttpResponse:
        rack.change(account, RackClub.objects.get(pk=club.pk), values, version)
        return redirect("rack")

    if request.method == "POST":
        return saved(request, form, save, "web/shop/rack_club.html", {"club": club})
    return render(request, "web/shop/rack_club.html", {"form": form, "club": club})


def rack_step(request: HttpRequest, account: Account, club: RackClub) -> None:
    """Lend one, take one back, note that it was looked over, take the club off the rack or put it back."""
    if "lend" in request.POST:
        rack.lend(account, club, request.POST["lend"].strip() or _("somebody"))
    elif "return" in request.POST:
        rack.take_back(account, club, request.POST.get("who", ""))
    elif "checked" in request.POST:
        rack.looked_over(account, club)
    else:
        rack.retire(account, club, back=club.retired_at is not None)


@require_http_methods(["GET", "HEAD", "POST"])
def shop_settings(request: HttpRequest) -> HttpResponse:
    """Units and language of one's own; for the owner the shop's settings and logo."""
    account = account_of(request)
    is_owner = account.role == "owner"
    own = OwnForm(request.POST if "own" in request.POST else None, instance=account)
    form = ShopForm(
        request.POST if "shop" in request.POST and is_owner else None,
        instance=shopping.settings_row(),
        alone=None if settings.SHOP else account,
    )
    told: dict[str, Any] = {}
    if request.method == "POST":
        try:
            if settings_saved(request, account, own, form):
                messages.success(request, _("Saved."))
                return redirect("settings")
        except ChangedMeanwhileError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
            return render(
                request, "web/shop/settings.html", told | settings_page(own, form, is_owner), status=409
            )
        except InputError as error:
            told["told"] = {"message": error.message, "next_step": error.next_step}
    told |= settings_page(own, form, is_owner)
    return render(request, "web/shop/settings.html", told, status=422 if request.method == "POST" else 200)


def settings_page(own: OwnForm, form: ShopForm, is_owner: bool) -> dict[str, Any]:
    """What the page of the settings shows."""
    return {
        "own": own,
        "form": form,
        "row": shopping.settings_row(),
        "is_owner": is_owner,
        "is_workshop": own.instance.role == "workshop",
    }


def settings_saved(request: HttpRequest, account: Account, own: OwnForm, form: ShopForm) -> bool:
    """Save the one form that was sent; False where it is wrong, or not this account's to send."""
    if own.is_bound and own.is_valid():
        Account.objects.filter(pk=account.pk).update(**own.cleaned_data)
        return True
    if account.role != "owner":
        return False
    if form.is_bound and form.is_valid():
        names = ("shop_name", "units", "language", "paper", "step_rules", "seller_interest")
        values = {name: form.cleaned_data[name] for name in names}
        shopping.change(account, values, form.cleaned_data.get("version"), form.sides)
        if not settings.SHOP:  # one person, one form: nothing of one's own is left to differ from it
            Account.objects.filter(pk=account.pk).update(units="", language="")
        return True
    if "logo" in request.POST or "no_logo" in request.POST:
        upload = request.FILES.get("picture")
        if upload is None and "no_logo" not in request.POST:
            raise InputError(_("No picture was chosen."), _("Choose a PNG or JPEG file first."))
        content = upload.read(shopping.MOST_BYTES + 1) if upload is not None else None
        shopping.set_logo(account, None if "no_logo" in request.POST else content)
        return True
    return False


@require_safe
def logo(request: HttpRequest) -> HttpResponse:
    """The shop's logo."""
    row = shopping.settings_row()
    if row.logo is None or row.logo_kind not in ("png", "jpeg"):
        raise Http404
    return HttpResponse(bytes(row.logo), content_type=f"image/{row.logo_kind}")


@require_safe
def workshop(request: HttpRequest) -> HttpResponse:
    """Build sheets that coaches have given to the workshop."""
    account = account_of(request)
    if account.role not in ("workshop", "owner"):
        raise Http404
    sheets = Paper.objects.filter(kind="build", for_workshop=True, visit__put_aside_at__isnull=True)
    sheets = sheets.defer("content").select_related("club").order_by("-made_at")
    return render(request, "web/shop/workshop.html", {"sheets": sheets[:200]})


@require_safe
def workshop_sheet(request: HttpRequest, paper_id: int) -> HttpResponse:
    """One of these sheets."""
    account = account_of(request)
    paper = Paper.objects.filter(
        pk=paper_id, kind="build", for_workshop=True, visit__put_aside_at__isnull=True
    ).first()
    if paper is None or account.role not in ("workshop", "owner"):
        raise Http404
    answer = HttpResponse(bytes(paper.content), content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="build.pdf"'
    return answer
