"""Saving a form: the page again where it is wrong, a page with both sides where somebody else was faster."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.utils.translation import gettext as _

from bagwright.bay.errors import ChangedMeanwhileError
from bagwright.errors import InputError
from bagwright.web.forms import HouseForm, shortest


def saved(
    request: HttpRequest,
    form: HouseForm,
    save: Callable[[dict[str, Any], int], HttpResponse],
    page: str,
    context: dict[str, Any],
) -> HttpResponse:
    """Save a form that was sent. What was typed is kept on every page that comes back."""
    told: dict[str, str] | None = None
    status = 422
    if form.is_valid():
        values = {name: form.cleaned_data[name] for name in form.cleaned_data if name != "version"}
        try:
            return save(values, form.cleaned_data.get("version") or 0)
        except ChangedMeanwhileError as error:
            told, status = {"message": error.message, "next_step": error.next_step}, 409
            now = type(form.instance)._default_manager.get(pk=form.instance.pk)
            context["theirs"] = differences(form, now)
            again = cast("QueryDict", form.data).copy()
            again["version"] = str(now.version)
            form.data = again
        except InputError as error:
            told = {"message": error.message, "next_step": error.next_step}
    return render(request, page, {"form": form, "told": told, **context}, status=status)


def differences(form: HouseForm, now: Any) -> list[tuple[str, str, str]]:
    """Label, typed and stored value of every field in which the two differ."""
    found = []
    for name, field in form.fields.items():
        if name == "version" or not hasattr(now, name):
            continue
        stored = getattr(now, name)
        typed = form[name].data
        if field.has_changed(stored, typed):
            found.append((str(form[name].label), _told(typed), _told(field.prepare_value(stored))))
    return found


def _told(value: Any) -> str:
    """A value as it may stand in the table of differences."""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, float):
        return shortest(value, 6)
    return "" if value is None else str(value)
