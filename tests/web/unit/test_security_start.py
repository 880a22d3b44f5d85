"""What the app refuses to start with, how it stops, and that opening it again and again leaves nothing behind."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest

from bagwright.cli import main
from tests.web.browser import Served, served
from tests.web.database import shots_in
from tests.web.test_pairing_process import Device

POSIX = pytest.mark.skipif(os.name != "posix", reason="signals and descriptors of this kind are POSIX")


def run(code: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=120,
        env={**os.environ, "BAGWRIGHT_DATA": str(folder), **environment},
    )  # fmt: skip


@pytest.mark.parametrize("name", ["*", "*.example", ".*"])
def test_a_shop_answers_no_star_of_names(tmp_path: Path, name: str) -> None:
    start = "import sys; from bagwright.cli import main; sys.exit(main(sys.argv[1:]))"
    done = subprocess.run(
        [sys.executable, "-c", start, "serve", "--shop", "--no-browser", "--port", "0", "--name", name],
        capture_output=True, text=True, check=False, timeout=60,
        env={**os.environ, "BAGWRIGHT_DATA": str(tmp_path)},
    )  # fmt: skip
    assert done.returncode == 2
    assert "*" in done.stderr
    assert "Traceback" not in done.stderr
    assert "Listening" not in done.stdout


def test_a_short_key_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "secret-key").write_text("short")
    monkeypatch.setenv("BAGWRIGHT_DATA", str(tmp_path))
    assert main(["serve", "--shop", "--no-browser", "--port", "0"]) == 3
    assert "too short" in capsys.readouterr().err


@pytest.mark.parametrize("mode", ["single", "shop"])
def test_nothing_of_the_environment_turns_debugging_on(tmp_path: Path, mode: str) -> None:
    code = (
        "from bagwright.web.serve import start_django; start_django()\n"
        "from django.conf import settings\n"
        "print(settings.DEBUG, settings.SHOP, '*' in settings.ALLOWED_HOSTS, len(settings.SECRET_KEY) >= 50)"
    )
    done = run(code, tmp_path, DEBUG="1", DJANGO_DEBUG="True", BAGWRIGHT_DEBUG="1", BAGWRIGHT_MODE=mode)
    assert done.stdout.split() == ["False", str(mode == "shop"), "False", "True"], done.stderr


def test_https_makes_cookies_and_headers_strict(tmp_path: Path) -> None:
    code = (
        "from bagwright.web.serve import Serving, prepare\n"
        "prepare(Serving(shop=True, https=True, hosts=('bay.example',), proxy='127.0.0.1'))\n"
        "from django.test import Client\n"
        "answer = Client().get('/first/', headers={'Host': 'bay.example', 'X-Forwarded-Proto': 'https',"
        " 'X-Forwarded-For': '203.0.113.4'})\n"
        "print(answer.status_code, answer['Strict-Transport-Security'], *sorted(answer.cookies),"
        " answer.cookies['__Host-csrf']['secure'])\n"
        "other = Client(REMOTE_ADDR='203.0.113.4').get('/first/', headers={'Host': 'bay.example',"
        " 'X-Forwarded-Proto': 'https'})\n"
        "print('Strict-Transport-Security' in other)"
    )
    done = run(code, tmp_path)
    assert done.stdout.splitlines() == ["200 max-age=31536000 __Host-csrf True", "False"], done.stderr


@POSIX
def test_opening_the_app_fifty_times_leaves_no_file_and_no_thread(tmp_path: Path) -> None:
    """Each time with a request, a second listener and a stream that is cut; then as many as after the first."""
    code = """
import asyncio, contextlib, gc, os, threading, urllib.request
from bagwright.web.serve import Serving, prepare
prepare(Serving())
from bagwright.web.asgi import application
from bagwright.web.listeners import Listeners, bind, server_of

async def once():
    async with Listeners(application) as listeners:
        server = server_of(application)
        server.capture_signals = contextlib.nullcontext
        listening = bind("127.0.0.1", 0)
        port = listening.getsockname()[1]
        task = asyncio.create_task(server.serve(sockets=[listening]))
        while not server.started:
            await asyncio.sleep(0.005)
        second = await asyncio.to_thread(listeners.open_second, "127.0.0.2")
        def ask():
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/players/") as answer:
                assert answer.status == 200
            with urllib.request.urlopen(f"http://127.0.0.2:{second.port}/pair/") as answer:
                assert answer.status == 200
        await asyncio.to_thread(ask)
        await asyncio.to_thread(listeners.close_second)
        server.should_exit = True
        await task

def held():
    gc.collect()
    return len(os.listdir("/proc/self/fd")), threading.active_count()

for _ in range(3):
    asyncio.run(once())
first = held()
for _ in range(50):
    asyncio.run(once())
last = held()
print(*first, *last)
"""
    if not Path("/proc/self/fd").is_dir():
        pytest.skip("open files are counted in /proc, which this system has not")
    done = run(code, tmp_path)
    assert done.returncode == 0, done.stderr[-2000:]
    files, threads, files_after, threads_after = map(int, done.stdout.split())
    assert files_after - files <= 2
    assert threads_after - threads <= 2


@POSIX
def test_too_much_is_refused_by_the_running_server_with_and_without_its_length(tmp_path: Path) -> None:
    with served(tmp_path, "serve") as running:
        port = int(running.address.rpartition(":")[2])
        for head in (b"Content-Length: 20971520", b"Transfer-Encoding: chunked"):
            answer = sent_in_pieces(port, head, 20 * 2**20)
            assert answer.startswith(b"HTTP/1.1 413"), answer[:80]
        long_path = f"{running.address}/players/?q={'x' * 10_000}"
        with urllib.request.urlopen(long_path) as page:
            assert page.status == 200


def sent_in_pieces(port: int, head: bytes, most: int) -> bytes:
    """Send a form's body in pieces until the server answers; what it says."""
    with socket.create_connection(("127.0.0.1", port), timeout=20) as line:
        line.sendall(b"POST /settings/ HTTP/1.1\r\nHost: 127.0.0.1\r\n" + head + b"\r\n\r\n")
        piece = b"x" * 65536
        if b"chunked" in head:
            piece = b"10000\r\n" + piece + b"\r\n"
        try:
            for _ in range(most // 65536):
                line.sendall(piece)
        except OSError:
            pass  # the server has answered and closed: that is what is looked at next
        return line.recv(4096)


@POSIX
def test_a_stop_in_the_middle_of_a_table_stores_all_of_it_or_nothing(tmp_path: Path) -> None:
    """SIGTERM while a table is taken over: gone within five seconds, and the table is whole or absent."""
    lines = [f"Gap wedge,{85 + i % 20}.{i % 10},{1 + i % 9} R" for i in range(4000)]
    with served(tmp_path, "demo", "--no-pick", "--out", str(tmp_path / "demo")) as running:
        desk = Device(running.address)
        before = stored(running)
        assert send_table(desk, running.visit, lines[:3]) == 200
        assert stored(running) == before + 3
        answers: list[object] = []
        sender = threading.Thread(target=lambda: answers.append(send_table(desk, running.visit, lines)))
        sender.start()
        time.sleep(0.5)
        started = time.monotonic()
        running.process.send_signal(signal.SIGTERM)
        running.process.wait(timeout=8)
        assert time.monotonic() - started < 5.0
        sender.join()
        assert stored(running) - before in (3, 4000), answers
        assert answers[0] in (0, 200)


def send_table(desk: Device, visit: int, lines: list[str]) -> int:
    """Send a table by the visit's form; the status, 0 where the server went away meanwhile."""
    path = f"/visits/{visit}/table/"
    token = re.search(r'name="csrfmiddlewaretoken" value="([^"]+)"', desk.get(path)[1])
    assert token is not None
    text = "\n".join(["Club,Carry (yd),Side (yd)", *lines])
    body = (
        f'--XX\r\nContent-Disposition: form-data; name="csrfmiddlewaretoken"\r\n\r\n{token[1]}\r\n'
        f'--XX\r\nContent-Disposition: form-data; name="table"; filename="shots.csv"\r\n'
        f"Content-Type: text/csv\r\n\r\n{text}\r\n--XX--\r\n"
    )
    headers = {"Content-Type": "multipart/form-data; boundary=XX", "Origin": desk.home}
    request = urllib.request.Request(desk.home + path, data=body.encode(), headers=headers)
    try:
        with desk.opener.open(request, timeout=30) as answer:
            return int(answer.status)
    except (ConnectionError, http.client.HTTPException, urllib.error.URLError) as error:
        return error.code if isinstance(error, urllib.error.HTTPError) else 0


def stored(running: Served) -> int:
    """How many shots lie in its database, on SQLite a sound one."""
    return shots_in(running.database, running.folder)
