"""Addresses of the way to the bay."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import visits

urlpatterns: list[URLPattern | URLResolver] = [
    path("visits/<int:visit_id>/", visits.visit, name="visit"),
    path("visits/<int:visit_id>/intake/", visits.intake, name="intake"),
    path("visits/<int:visit_id>/safety/", visits.safety, name="safety"),
    path("visits/<int:visit_id>/brief/", visits.brief, name="brief"),
    path("visits/<int:visit_id>/plan/", visits.plan, name="plan"),
    path("visits/<int:visit_id>/plan/make/", visits.plan_make, name="plan-make"),
    path("visits/<int:visit_id>/plan/skip/", visits.plan_change, {"what": "skip"}, name="plan-skip"),
    path("visits/<int:visit_id>/plan/move/", visits.plan_change, {"what": "move"}, name="plan-move"),
    path("visits/<int:visit_id>/plan/add/", visits.plan_change, {"what": "add"}, name="plan-add"),
    path("visits/<int:visit_id>/plan/undo/", visits.plan_change, {"what": "undo"}, name="plan-undo"),
    path("visits/<int:visit_id>/flat-out/", visits.flat_out_ok, name="flat-out-ok"),
    path("visits/<int:visit_id>/finish/", visits.finish, name="visit-finish"),
]
