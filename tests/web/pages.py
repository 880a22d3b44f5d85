"""Every address of the app: which are pages and where they stand, for the tests and for the pictures of the docs."""

from __future__ import annotations

import re

from playwright.sync_api import Page

from tests.web.browser import Served

DEMO = {
    "home": "/", "help": "/help/", "players": "/players/", "player-new": "/players/new/", "player": "/players/{player}/",
    "player-edit": "/players/{player}/edit/", "bag-edit": "/players/{player}/bag/", "club-edit": "/players/clubs/{club}/",
    "club-new": "/players/{player}/clubs/new/", "clubs-import": "/players/{player}/clubs/import/",
    "visit": "/visits/{visit}/", "intake": "/visits/{visit}/intake/", "safety": "/visits/{visit}/safety/",
    "brief": "/visits/{visit}/brief/", "plan": "/visits/{visit}/plan/", "visit-aside": "/visits/{visit}/aside/",
    "bay": "/visits/{visit}/bay/", "entry-form": "/visits/{visit}/form/", "player-screen": "/visits/{visit}/screen/",
    "shot-edit": "/shots/{shot}/", "board": "/visits/{visit}/board/", "pictures": "/visits/{visit}/pictures/",
    "ratings": "/visits/{visit}/ratings/", "decide": "/visits/{visit}/decide/",
    "visit-bag": "/visits/{visit}/distances/", "table-add": "/visits/{visit}/table/",
    "handover": "/visits/{visit}/hand-over/", "due": "/due/", "record": "/record/", "courses": "/courses/",
    "course": "/courses/{course}/", "course-hole": "/courses/{course}/holes/1/",
    "delivery": "/visits/{visit}/delivery/", "delivery-compare": "/visits/{visit}/delivery/compare/",
    "check-measure": "/visits/{visit}/check/", "check-compare": "/visits/{visit}/check/compare/",
    "check-outcome": "/visits/{visit}/check/outcome/", "rack": "/rack/", "rack-new": "/rack/new/",
    "player-courses": "/players/{player}/courses/", "strokes": "/players/{player}/strokes/{run}/",
    "strokes-hole": "/players/{player}/strokes/{run}/holes/1/", "visit-course": "/visits/{visit}/course/",
    "player-pick": "/players/{player}/pick/", "pick": "/players/{player}/pick/{pick}/",
    "rack-import": "/rack/import/", "settings": "/settings/", "pair-offer": "/visits/{visit}/pair/",
}  # fmt: skip
"""Pages of one machine, by name; what stands in braces is found on the pages themselves."""
SHOP = {
    "accounts": "/accounts/", "sessions": "/sessions/", "audit": "/audit/", "tokens": "/tokens/",
    "player-share": "/players/{player}/share/", "workshop": "/workshop/", "player-link": "/visits/{visit}/link/",
}  # fmt: skip
"""Pages that only a shop has, for its owner."""
DOORS = {"login", "first-account", "join", "for-you"}
"""Pages of a shop for whoever is not logged in."""
ELSEWHERE = {
    "pair": "test_shop_browser.py::test_a_second_screen_is_paired_by_reading_a_code_out",
    "rack-edit": "test_shop_browser.py::test_a_shop_from_its_first_account_to_a_colleague_s_look",
}
NO_PAGE = {
    "healthy": "a word for whoever watches the server", "worker": "a script", "holes-styles": "a style sheet",
    "live": "a stream", "revision": "a number", "bag-file": "a file", "paper": "a PDF", "paper-given": "a PDF",
    "strokes-state": "a part of a page", "visit-course-state": "a part of a page", "strokes-spot": "a part of a page", "strokes-sheet": "a PDF",
    "for-you-paper": "a PDF", "workshop-sheet": "a PDF", "logo": "a picture", "course-overlay": "a file",
    "course-heights-file": "a file", "pick-state": "a part of a page",
    **dict.fromkeys(
        ("player-archive", "visit-new", "club-from-rack", "club-status", "plan-make", "plan-skip",
         "plan-back", "plan-move", "plan-add", "plan-setting", "plan-leave", "plan-undo", "flat-out-ok",
         "visit-finish", "shot-add", "shot-undo", "shot-mark", "shot-remove", "logout", "table-look",
         "course-archive", "course-undo", "course-correct", "course-heights"), "only taken by POST"),
}  # fmt: skip


def numbers(page: Page, running: Served) -> dict[str, str]:
    """The numbers that addresses of the demo need, as its own pages link to them."""
    values = {"visit": str(running.visit)}
    for name, place, link in (
        ("player", "/players/", r"/players/(\d+)/"),
        ("club", "/players/{player}/bag/", r"/players/clubs/(\d+)/"),
        ("shot", "/visits/{visit}/bay/", r"/shots/(\d+)/"),
        ("course", "/courses/", r"/courses/(\d+)/"),
    ):
        page.goto(running.address + place.format_map(values))
        found = re.search(f'href="{link}', page.content())
        assert found is not None, f"{place} links to no {name}"
        values[name] = found[1]
    return values
