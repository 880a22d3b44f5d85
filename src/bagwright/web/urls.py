"""Every address of the screens."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.routes import after, api, bay, board, courses, desk, pairing, players, shop, visits
from bagwright.web.views import start

urlpatterns: list[URLPattern | URLResolver] = [
    path("", start.home, name="home"),
    path("help/", start.help_page, name="help"),
    path("healthy/", start.healthy, name="healthy"),
    *players.urlpatterns,
    *visits.urlpatterns,
    *bay.urlpatterns,
    *board.urlpatterns,
    *desk.urlpatterns,
    *courses.urlpatterns,
    *after.urlpatterns,
    *shop.urlpatterns,
    *pairing.urlpatterns,
    *api.urlpatterns,
]
handler400 = "bagwright.web.views.start.bad_request"
handler403 = "bagwright.web.views.start.forbidden"
handler404 = "bagwright.web.views.start.not_found"
handler500 = "bagwright.web.views.start.server_error"
