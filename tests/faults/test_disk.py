"""A disk that is full or may not be written, for real: mounted in a namespace of the test's own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.test_store import stored

MOUNTED = ["unshare", "--user", "--map-root-user", "--mount", "sh", "-c"]
FILL = """
import os, shutil, subprocess, sys
from bagwright.web.serve import start_django
start_django()
from django.db import connections
from django.test import Client
from bagwright.store.models import Visit
visit = Visit.objects.get()
club = visit.player.clubs.get()
client = Client(headers={"host": "127.0.0.1", "accept": "application/json"})

def send(i):
    sent = {"key": f"ball-{i:06d}", "club": club.pk, "line": f"{90 + i % 7} 2R"}
    return client.post(f"/visits/{visit.pk}/shots/", sent)

for i in range(10_000):
    answer = send(i)
    if answer.status_code != 201:
        break
print(i, answer.status_code, answer.json()["error"]["message"], sep="|")
subprocess.run(["mount", "-o", "remount,size=8m", os.environ["BAGWRIGHT_DATA"]], check=True)
print(send(i).status_code, send(i + 1).status_code)
connections.close_all()
shutil.copytree(os.environ["BAGWRIGHT_DATA"], sys.argv[1])
"""
START = "import sys; from bagwright.cli import main; sys.exit(main(['serve', '--no-browser', '--port', '0']))"


@pytest.fixture(scope="module", autouse=True)
def namespaces() -> None:
    """Skip where this system lets nobody mount within a namespace of their own."""
    if shutil.which("unshare") is None:
        pytest.skip("no unshare on this system: full and read-only disks were not tried for real")
    tried = subprocess.run(
        [*MOUNTED, "mount -t tmpfs none /mnt"], capture_output=True, text=True, check=False
    )
    if tried.returncode != 0:
        pytest.skip(
            f"no mount in a namespace here ({tried.stderr.strip()[:80]}): full disks were not tried for real"
        )


def mounted(script: str, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run a shell script as the root of a namespace; $0 is the data folder, $1 ... are the words."""
    environment = {
        **os.environ, "BAGWRIGHT_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "bagwright.web.settings",
        "DATABASE_URL": "",
    }  # fmt: skip
    return subprocess.run(
        [*MOUNTED, script, str(folder), *words],
        capture_output=True, text=True, check=False, timeout=120, env=environment,
    )  # fmt: skip


def test_a_disk_of_a_megabyte_fills_up_says_so_and_goes_on_when_there_is_room(
    folder: Path,
    tmp_path: Path,
) -> None:
    """The ball that did not fit is not there in part; sent again with the same key it is stored once."""
    copy, small = tmp_path / "copy", tmp_path / "small"
    small.mkdir()
    size = sum(path.stat().st_size for path in folder.iterdir() if path.is_file()) // 1024 + 300
    script = 'mount -t tmpfs -o size="$1"k none "$0" && cp -r "$2"/. "$0" && exec "$3" -c "$4" "$5"'
    done = mounted(script, small, str(size), str(folder), sys.executable, FILL, str(copy))
    assert done.returncode == 0, done.stderr
    first, second = done.stdout.splitlines()
    n, status, message = first.split("|")
    assert int(n) > 0
    assert status == "503"
    assert "Nothing of this was saved" in message
    assert second == "201 201"
    assert stored(copy / "bagwright.sqlite3") == [f"ball-{i:06d}" for i in range(int(n) + 2)]


def test_a_read_only_disk_is_named_and_the_start_ends_with_three(folder: Path) -> None:
    script = 'mount --bind "$0" "$0" && mount -o remount,bind,ro "$0" && exec "$1" -c "$2"'
    done = mounted(script, folder, sys.executable, START)
    assert done.returncode == 3, done.stderr
    assert str(folder) in done.stderr
    assert "Traceback" not in done.stderr
    assert "Listening" not in done.stdout


def test_a_database_of_another_user_is_named_and_the_start_ends_with_three(folder: Path) -> None:
    if os.geteuid() != 0:
        pytest.skip("only root can give a file away: a database of another user was not tried")
    database = folder / "bagwright.sqlite3"
    os.chown(database, 65534, 65534)
    database.chmod(0o600)
    # Within the namespace even root is a stranger to a file of somebody who is not part of it.
    done = mounted('exec "$1" -c "$2"', folder, sys.executable, START)
    assert done.returncode == 3, done.stderr
    assert str(database) in done.stderr
    assert "Traceback" not in done.stderr
