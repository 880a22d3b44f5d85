"""Addresses of the way to the bay."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import visits, visits_brief, visits_plan

urlpatterns: list[URLPattern | URLResolver] = [
    path("visits/<int:visit_id>/", visits.visit, name="visit"),
    path("visits/<int:visit_id>/intake/", visits.intake, name="intake"),
    path("visits/<int:visit_id>/safety/", visits.safety, name="safety"),
    path("visits/<int:visit_id>/brief/", visits_brief.brief, name="brief"),
    path("visits/<int:visit_id>/plan/", visits_plan.plan, name="plan"),
    path("visits/<int:visit_id>/plan/make/", visits_plan.plan_make, name="plan-make"),
    path("visits/<int:visit_id>/plan/skip/", visits_plan.plan_skip, name="plan-skip"),
    path("visits/<int:visit_id>/plan/back/", visits_plan.plan_back, name="plan-back"),
    path("visits/<int:visit_id>/plan/move/", visits_plan.plan_move, name="plan-move"),
    path("visits/<int:visit_id>/plan/add/", visits_plan.plan_add, name="plan-add"),
    path("visits/<int:visit_id>/plan/setting/", visits_plan.plan_setting, name="plan-setting"),
    path("visits/<int:visit_id>/plan/leave/", visits_plan.plan_leave, name="plan-leave"),
    path("visits/<int:visit_id>/plan/undo/", visits_plan.plan_undo, name="plan-undo"),
    path("visits/<int:visit_id>/flat-out/", visits.flat_out_ok, name="flat-out-ok"),
    path("visits/<int:visit_id>/aside/", visits.aside, name="visit-aside"),
    path("visits/<int:visit_id>/finish/", visits.finish, name="visit-finish"),
]
