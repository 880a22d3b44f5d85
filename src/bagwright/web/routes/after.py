"""Addresses of delivery, check and the player's link."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import after, after_check

urlpatterns: list[URLPattern | URLResolver] = [
    path("visits/<int:visit_id>/delivery/", after.delivery, name="delivery"),
    path("visits/<int:visit_id>/delivery/compare/", after.delivery_compare, name="delivery-compare"),
    path("visits/<int:visit_id>/check/", after_check.check_measure, name="check-measure"),
    path("visits/<int:visit_id>/check/compare/", after_check.check_compare, name="check-compare"),
    path("visits/<int:visit_id>/check/outcome/", after_check.check_outcome, name="check-outcome"),
    path("visits/<int:visit_id>/link/", after.player_link, name="player-link"),
    path("for-you/<str:token>/", after.for_you, name="for-you"),
    path("for-you/<str:token>/<int:paper_id>/", after.for_you_paper, name="for-you-paper"),
]
