"""Starting the app: what it refuses, which port it takes, and that a stop leaves nothing running."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from bagwright.cli import main
from bagwright.errors import InputError, MachineError
from bagwright.web.serve import Serving, open_socket, prepare


def test_without_accounts_only_this_machine_may_be_served() -> None:
    with pytest.raises(InputError, match=r"--host is 192\.0\.2\.7"):
        prepare(Serving(host="192.0.2.7"))


def test_a_taken_port_is_named_and_the_usual_one_gives_way() -> None:
    with open_socket("127.0.0.1", 0) as first:
        port = first.getsockname()[1]
        with pytest.raises(MachineError, match=str(port)):
            open_socket("127.0.0.1", port)
    with open_socket("127.0.0.1", None) as one, open_socket("127.0.0.1", None) as two:
        assert one.getsockname()[1] < two.getsockname()[1]


def test_a_folder_that_cannot_be_used_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    monkeypatch.setenv("BAGWRIGHT_DATA", str(blocked / "data"))
    assert main(["serve", "--no-browser", "--port", "0"]) == 3


@pytest.mark.skipif(os.name != "posix", reason="signals of this kind are POSIX")
def test_the_demo_opens_the_visit_and_stops_when_told(tmp_path: Path) -> None:
    """From the command to the first page within the limit, and gone within five seconds of SIGTERM."""
    words = ["demo", "--no-pick", "--no-browser", "--port", "0", "--out", str(tmp_path)]
    process = subprocess.Popen(
        [sys.executable, "-m", "bagwright", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "DATABASE_URL": "postgresql://nobody@127.0.0.1:1/none"},
    )
    try:
        assert process.stdout is not None
        said = next(line for line in process.stdout if line.startswith("Listening on "))
        address = said.split()[2]
        with urllib.request.urlopen(address, timeout=20) as answer:
            page = answer.read().decode()
        process.send_signal(signal.SIGTERM)
        started = time.monotonic()
        process.communicate(timeout=10)
    finally:
        process.kill()
        process.communicate()
    assert time.monotonic() - started < 5.0
    assert "bagwright" in page
    with socket.socket() as probe:
        assert probe.connect_ex(("127.0.0.1", int(address.split(":")[2].split("/")[0]))) != 0
    database = tmp_path / "app" / "bagwright.sqlite3"
    assert database.stat().st_size > 0
    assert database.parent.stat().st_mode & 0o077 == 0
