"""What every test shares: repeatable hypothesis runs without a time limit or a folder of past examples.

The database of the tests lies in a folder of its own, never in the user's.
"""

import atexit
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack

import pytest
from hypothesis import settings

from tests.web.private_pg import NoServerError, private_postgres

settings.register_profile("repeatable", derandomize=True, deadline=None, database=None, print_blob=True)
settings.load_profile("repeatable")
os.environ["BAGWRIGHT_DATA"] = tempfile.mkdtemp(prefix="bagwright-tests-")
atexit.register(shutil.rmtree, os.environ["BAGWRIGHT_DATA"], ignore_errors=True)
if "TEST_DATABASE_URL" in os.environ:
    os.environ["DATABASE_URL"] = os.environ["TEST_DATABASE_URL"]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--pictures", default="", help="Folder for pictures of every page (tests/web).")


LONGEST = (
    "test_postgres_screens.py",
    "test_postgres_browser.py",
    "test_bay_browser.py",
    "test_every_page.py",
)
"""Files that take a minute or more: workers that run side by side begin with them."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items.sort(key=lambda item: LONGEST.index(item.path.name) if item.path.name in LONGEST else len(LONGEST))


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """The address of a PostgreSQL server of this run's own, on loopback, empty at first."""
    with ExitStack() as held:
        try:
            address = held.enter_context(private_postgres())
        except NoServerError as missing:
            pytest.skip(str(missing))
        yield address
