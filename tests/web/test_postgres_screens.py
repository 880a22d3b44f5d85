"""The screens' tests once more, on PostgreSQL."""

from __future__ import annotations

from tests.web.once_more import once_more

LEFT_OUT = ("serve", "security_start", "board", "board_bag", "charting", "deciding", "language",
            "german_pages", "picks", "player_courses", "visit_course", "studying")  # fmt: skip
"""The first two start servers again and again; the others read files or compute for long and store
little. All of them pass too, and so do all tests in a browser:

    .venv/bin/python -m tests.web.private_pg .venv/bin/python -m pytest tests/web tests/faults
"""


def test_the_screens_tests_hold_on_postgresql(postgres_url: str) -> None:
    left_out = [f"--ignore=tests/web/unit/test_{name}.py" for name in LEFT_OUT]
    once_more(postgres_url, "tests/web/unit", *left_out)
