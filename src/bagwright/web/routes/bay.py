"""Addresses of the bay."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import bay, bay_edit, bay_form, bay_screen, bay_worker, live

urlpatterns: list[URLPattern | URLResolver] = [
    path("worker.js", bay_worker.worker, name="worker"),
    path("visits/<int:visit_id>/bay/", bay.bay, name="bay"),
    path("visits/<int:visit_id>/shots/", bay.shot_add, name="shot-add"),
    path("visits/<int:visit_id>/shots/undo/", bay.undo, name="shot-undo"),
    path("visits/<int:visit_id>/form/", bay_form.entry_form, name="entry-form"),
    path("visits/<int:visit_id>/live/", live.live, name="live"),
    path("visits/<int:visit_id>/revision/", bay.revision, name="revision"),
    path("visits/<int:visit_id>/screen/", bay_screen.player_screen, name="player-screen"),
    path("shots/<int:shot_id>/", bay_edit.shot_edit, name="shot-edit"),
    path("shots/<int:shot_id>/mark/", bay.shot_mark, name="shot-mark"),
    path("shots/<int:shot_id>/remove/", bay.shot_remove, name="shot-remove"),
]
