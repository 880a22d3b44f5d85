"""Addresses of the shop."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, path

from bagwright.web.views import shop

urlpatterns: list[URLPattern | URLResolver] = [
    path("login/", shop.log_in, name="login"),
    path("logout/", shop.log_out, name="logout"),
    path("first/", shop.first_account, name="first-account"),
    path("join/<str:token>/", shop.join, name="join"),
    path("accounts/", shop.account_list, name="accounts"),
    path("sessions/", shop.sessions, name="sessions"),
    path("audit/", shop.audit_list, name="audit"),
    path("tokens/", shop.tokens, name="tokens"),
    path("players/<int:player_id>/share/", shop.player_share, name="player-share"),
    path("rack/", shop.rack_list, name="rack"),
    path("rack/new/", shop.rack_new, name="rack-new"),
    path("rack/<int:rack_id>/", shop.rack_edit, name="rack-edit"),
    path("settings/", shop.shop_settings, name="settings"),
    path("settings/logo/", shop.logo, name="logo"),
    path("workshop/", shop.workshop, name="workshop"),
    path("workshop/<int:paper_id>/", shop.workshop_sheet, name="workshop-sheet"),
]
