"""Addresses of the desk."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import desk, desk_table

urlpatterns: list[URLPattern | URLResolver] = [
    path("visits/<int:visit_id>/table/", desk_table.table_add, name="table-add"),
    path("visits/<int:visit_id>/table/look/", desk_table.table_look, name="table-look"),
    path("visits/<int:visit_id>/hand-over/", desk.handover, name="handover"),
    path("visits/<int:visit_id>/papers/<str:kind>/", desk.paper, name="paper"),
    path("papers/<int:paper_id>/", desk.given, name="paper-given"),
    path("due/", desk.due, name="due"),
    path("record/", desk.record, name="record"),
]
