"""How quick the app is: a ball on every screen, pages of a large shop, twenty coaches at once, the first page.

    .venv/bin/python -m bench.bench_app [--players 5000 --shots 500000 --seed 1]

A real server on loopback, asked over HTTP by one process; all figures are whole requests in milliseconds.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import numpy as np

from bench._machine import banner


class Client:
    """One browser: cookies and the token of forms."""

    def __init__(self, home: str) -> None:
        self.home = home
        self.jar = CookieJar()
        self.opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self.jar))
        self.token = ""

    def get(self, path: str, *, part: bool = False) -> bytes:
        """One page or part."""
        headers = {"HX-Request": "true"} if part else {}
        asked = urllib.request.Request(self.home + path, headers=headers)
        with self.opener.open(asked, timeout=60) as answer:
            return bytes(answer.read())

    def post(self, path: str, values: dict[str, str]) -> int:
        """One form, with the token of the page."""
        if not self.token:
            found = re.search(rb'name="csrf" content="([^"]+)"', self.get("/players/"))
            self.token = found[1].decode() if found else ""
        headers = {"X-CSRFToken": self.token, "Accept": "application/json"}
        data = urllib.parse.urlencode(values).encode()
        asked = urllib.request.Request(self.home + path, data=data, headers=headers)
        with self.opener.open(asked, timeout=60) as answer:
            answer.read()
            return int(answer.status)


@contextmanager
def server(folder: Path) -> Iterator[tuple[str, float]]:
    """A running app on a data folder: its address, and seconds from the command to the first page."""
    started = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "bagwright", "serve", "--no-browser", "--port", "0"],
        stdout=subprocess.PIPE, text=True, env={**os.environ, "BAGWRIGHT_DATA": str(folder)},
    )  # fmt: skip
    assert process.stdout is not None
    try:
        said = next(line for line in process.stdout if line.startswith("Listening on "))
        home = said.split()[2]
        Client(home).get("/players/")
        yield home, time.perf_counter() - started
    finally:
        process.terminate()
        process.wait(10)


def fill(folder: Path, players: int, shots: int, seed: int) -> dict[str, list[int]]:
    """A large shop: players with a bag of twelve and visits; one visit with 200 balls of three candidates."""
    os.environ["BAGWRIGHT_DATA"] = str(folder)
    from bagwright.web.serve import Serving, prepare

    prepare(Serving())
    from django.utils import timezone

    from bagwright.bay.demo import seed_demo
    from bagwright.store.models import Candidate, Club, Player, ShotRecord, Visit
    from bagwright.web.middleware.who import single_account

    rng = np.random.default_rng(seed)
    account = single_account()
    seed_demo(account)
    now = timezone.now()
    Player.objects.bulk_create(
        [
            Player(
                coach=account,
                name=f"Invented {i:05d}",
                hand="left" if i % 8 == 0 else "right",
                consent_on=now,
            )
            for i in range(players)
        ],
        batch_size=2000,
    )
    ids = list(Player.objects.exclude(is_demo=True).values_list("pk", flat=True))
    kinds = (
        ("7 iron", "iron", 33.0),
        ("Gap wedge", "wedge", 50.0),
        ("51 blade", "wedge", 51.0),
        ("50 cavity", "wedge", 50.0),
    )
    Club.objects.bulk_create(
        [
            Club(
                player_id=p,
                name=name,
                kind=kind,
                loft_deg=loft,
                position=k,
                status="carried" if k < 2 else "candidate",
            )
            for p in ids
            for k, (name, kind, loft) in enumerate(kinds)
        ],
        batch_size=2000,
    )
    Visit.objects.bulk_create(
        [Visit(player_id=p, coach=account, started_at=now) for p in ids], batch_size=2000
    )
    visits = list(Visit.objects.filter(player__in=ids).values_list("pk", "player_id"))
    clubs: dict[int, list[int]] = {}
    for pk, player in Club.objects.filter(player__in=ids).values_list("pk", "player_id"):
        clubs.setdefault(player, []).append(pk)
    each = max(1, shots // len(visits))
    batch: list[Any] = []
    for visit, player in visits:
        carries = 85.0 + 5.0 * rng.standard_normal(each)
        sides = 5.0 * rng.standard_normal(each)
        batch += [
            ShotRecord(visit_id=visit, number=i + 1, client_key=f"bench-{visit}-{i}", club_id=clubs[player][1 + i % 3],
                       carry_m=float(carries[i]), offline_m=float(sides[i]))
            for i in range(each)
        ]  # fmt: skip
        if len(batch) > 20_000:
            ShotRecord.objects.bulk_create(batch, batch_size=800)
            batch = []
    ShotRecord.objects.bulk_create(batch, batch_size=800)
    Visit.objects.filter(player__in=ids).update(shot_count=each)
    chosen = visits[:21]
    for visit, player in chosen:
        for place, club in enumerate(clubs[player][1:4]):
            Candidate.objects.create(visit_id=visit, club_id=club, position=place, present=place == 0)
    return {"visits": [v for v, _ in chosen], "clubs": [clubs[p][1] for _, p in chosen], "players": [p for _, p in chosen],
            "each": [each]}  # fmt: skip


def milliseconds(work: Callable[[], object], n: int) -> list[float]:
    """Times of n runs."""
    found = []
    for _ in range(n):
        started = time.perf_counter()
        work()
        found.append(1000.0 * (time.perf_counter() - started))
    return found


def told(name: str, times: list[float], goal: float) -> None:
    """One line of the table: median, 95th percentile, goal."""
    p95 = float(np.quantile(times, 0.95))
    mark = "met" if p95 <= goal else "MISSED"
    print(f"| {name} | {statistics.median(times):.0f} | {p95:.0f} | {goal:.0f} | {mark} |")


def to_every_screen(home: str, visit: int, club: int, n: int, before: int) -> list[float]:
    """From sending a ball until the bay's list, the board and the player's screen have come back new."""
    client, screen = Client(home), Client(home)
    for i in range(max(0, 200 - before)):
        client.post(
            f"/visits/{visit}/shots/",
            {"key": f"fill-{visit}-{i:04d}", "club": str(club), "line": f"{90 + i % 9} {i % 7}R"},
        )
    client.get(f"/visits/{visit}/board/", part=True)
    rung = threading.Event()
    stream = urllib.request.urlopen(f"{home}/visits/{visit}/live/", timeout=60)

    def listen() -> None:
        for line in stream:
            if line.startswith(b"event: changed"):
                rung.set()

    threading.Thread(target=listen, daemon=True).start()
    time.sleep(0.3)
    found = []
    for i in range(n):
        rung.clear()
        started = time.perf_counter()
        client.post(
            f"/visits/{visit}/shots/",
            {"key": f"ball-{visit}-{i:04d}", "club": str(club), "line": f"{95 - i % 8} {i % 6}L"},
        )
        assert rung.wait(5.0), "the stream did not tell"
        parts = [
            threading.Thread(target=client.get, args=(f"/visits/{visit}/bay/",), kwargs={"part": True}),
            threading.Thread(
                target=Client(home).get, args=(f"/visits/{visit}/board/",), kwargs={"part": True}
            ),
            threading.Thread(target=screen.get, args=(f"/visits/{visit}/screen/",), kwargs={"part": True}),
        ]
        for part in parts:
            part.start()
        for part in parts:
            part.join()
        found.append(1000.0 * (time.perf_counter() - started))
    return found


def twenty_at_once(home: str, made: dict[str, list[int]], balls: int) -> tuple[int, int, list[float]]:
    """Twenty coaches type at once, each into a visit of their own: sent, failed, times."""
    times: list[float] = []
    failed: list[str] = []

    def type_all(k: int) -> None:
        client = Client(home)
        visit, club = made["visits"][k], made["clubs"][k]
        for i in range(balls):
            started = time.perf_counter()
            try:
                client.post(
                    f"/visits/{visit}/shots/",
                    {"key": f"many-{k}-{i:04d}", "club": str(club), "line": f"{80 + i % 20} 3R"},
                )
            except OSError as error:
                failed.append(str(error))
            times.append(1000.0 * (time.perf_counter() - started))

    threads = [threading.Thread(target=type_all, args=(k,)) for k in range(1, 21)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return 20 * balls, len(failed), times


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--players", type=int, default=5000)
    parser.add_argument("--shots", type=int, default=500_000)
    parser.add_argument("--balls", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    banner()
    with tempfile.TemporaryDirectory() as room:
        folder = Path(room)
        made = fill(folder, asked.players, asked.shots, asked.seed)
        with server(folder) as (home, first):
            client = Client(home)
            print(f"\n{asked.players} players, {asked.shots} shots, SQLite, WAL, full synchronous\n")
            print("| whole request, ms | median | p95 | goal | |\n|---|---|---|---|---|")
            player, visit = made["players"][0], made["visits"][0]
            pages = {"players": "/players/", "players, searched": "/players/?q=0123", "one player": f"/players/{player}/",
                     "bag": f"/players/{player}/bag/", "bay": f"/visits/{visit}/bay/", "plan": f"/visits/{visit}/plan/",
                     "due": "/due/", "our record": "/record/"}  # fmt: skip
            for name, path in pages.items():
                client.get(path)
                told(f"page: {name}", milliseconds(partial(client.get, path), 40), 150.0)
            told("a ball on bay, board and player's screen, 200 balls in the visit",
                 to_every_screen(home, visit, made["clubs"][0], 40, made["each"][0]), 300.0)  # fmt: skip
            sent, failed, times = twenty_at_once(home, made, asked.balls)
            told(f"a ball, twenty coaches at once ({sent} sent, {failed} failed)", times, 1000.0)
            stored = sum(
                len(json.loads(client.get(f"/api/visits/{v}/shots?after={made['each'][0]}")))
                for v in made["visits"][1:21]
            )
            print(f"\nstored {stored} of {sent}")
            print(f"command to first page {first:.2f} s (goal 2)")


if __name__ == "__main__":
    main()
