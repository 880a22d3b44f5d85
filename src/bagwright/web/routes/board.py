"""Addresses of the board and what follows from it."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import board

urlpatterns: list[URLPattern | URLResolver] = [
    path("visits/<int:visit_id>/board/", board.board, name="board"),
    path("visits/<int:visit_id>/pictures/", board.pictures, name="pictures"),
    path("visits/<int:visit_id>/ratings/", board.ratings, name="ratings"),
    path("visits/<int:visit_id>/decide/", board.decide, name="decide"),
    path("visits/<int:visit_id>/distances/", board.visit_bag, name="visit-bag"),
]
