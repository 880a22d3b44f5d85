"""Addresses of players and their bags."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import bags, players

urlpatterns: list[URLPattern | URLResolver] = [
    path("players/", players.index, name="players"),
    path("players/new/", players.new, name="player-new"),
    path("players/<int:player_id>/", players.detail, name="player"),
    path("players/<int:player_id>/edit/", players.edit, name="player-edit"),
    path("players/<int:player_id>/archive/", players.archive, name="player-archive"),
    path("players/<int:player_id>/visits/new/", players.visit_new, name="visit-new"),
    path("players/<int:player_id>/bag/", bags.bag, name="bag-edit"),
    path("players/<int:player_id>/bag/file/", bags.bag_file, name="bag-file"),
    path("players/<int:player_id>/clubs/new/", bags.club_new, name="club-new"),
    path("players/<int:player_id>/clubs/import/", bags.clubs_import, name="clubs-import"),
    path("players/<int:player_id>/rack/<int:rack_id>/", bags.from_rack, name="club-from-rack"),
    path("players/clubs/<int:club_id>/", bags.club_edit, name="club-edit"),
    path("players/clubs/<int:club_id>/status/", bags.club_status, name="club-status"),
]
