"""Addresses of the board and what follows from it."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import board, board_bag, board_decide, board_ratings

urlpatterns: list[URLPattern | URLResolver] = [
    path("visits/<int:visit_id>/board/", board.board, name="board"),
    path("visits/<int:visit_id>/pictures/", board.pictures, name="pictures"),
    path("visits/<int:visit_id>/ratings/", board_ratings.ratings, name="ratings"),
    path("visits/<int:visit_id>/decide/", board_decide.decide, name="decide"),
    path("visits/<int:visit_id>/distances/", board_bag.visit_bag, name="visit-bag"),
]
