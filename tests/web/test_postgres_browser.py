"""Tests in a browser once more, on PostgreSQL."""

from __future__ import annotations

from tests.web.once_more import once_more

IN_A_BROWSER = (
    "test_visit_browser.py::test_a_whole_visit_from_intake_to_papers[size1-True]",
    "test_visit_browser.py::test_the_link_drops_and_no_ball_is_lost_or_doubled",
    "test_visit_browser.py::test_two_screens_show_the_same_ball_and_undo",
    "test_visit_ways_browser.py::test_two_coaches_type_into_one_visit_and_neither_overwrites_the_other",
    "test_board_browser.py::test_two_who_decide_at_once_and_a_way_back",
    "test_shop_browser.py",
    "test_pairing_process.py::test_five_wrong_codes_close_the_door",
)
"""Those in which several write at once, or everything is written once."""


def test_the_screens_hold_on_postgresql_in_a_browser(browser: object, postgres_url: str) -> None:
    """The browser is asked for so that a machine without one skips this too."""
    once_more(postgres_url, *(f"tests/web/{name}" for name in IN_A_BROWSER))
