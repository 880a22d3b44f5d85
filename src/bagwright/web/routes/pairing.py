"""Addresses of pairing."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import pairing

urlpatterns: list[URLPattern | URLResolver] = [
    path("visits/<int:visit_id>/pair/", pairing.offer, name="pair-offer"),
    path("pair/", pairing.pair, name="pair"),
]
