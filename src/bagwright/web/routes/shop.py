"""Addresses of the shop."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import shop, shop_door, shop_people

urlpatterns: list[URLPattern | URLResolver] = [
    path("login/", shop_door.log_in, name="login"),
    path("logout/", shop_door.log_out, name="logout"),
    path("first/", shop_door.first_account, name="first-account"),
    path("join/<str:token>/", shop_door.join, name="join"),
    path("accounts/", shop_people.account_list, name="accounts"),
    path("sessions/", shop_door.session_list, name="sessions"),
    path("audit/", shop_people.audit_list, name="audit"),
    path("tokens/", shop_people.tokens, name="tokens"),
    path("players/<int:player_id>/share/", shop_people.player_share, name="player-share"),
    path("rack/", shop.rack_list, name="rack"),
    path("rack/new/", shop.rack_new, name="rack-new"),
    path("rack/import/", shop.rack_import, name="rack-import"),
    path("rack/<int:rack_id>/", shop.rack_edit, name="rack-edit"),
    path("settings/", shop.shop_settings, name="settings"),
    path("settings/logo/", shop.logo, name="logo"),
    path("workshop/", shop.workshop, name="workshop"),
    path("workshop/<int:paper_id>/", shop.workshop_sheet, name="workshop-sheet"),
]
