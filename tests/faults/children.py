"""Processes of their own that write through the app's functions, to be killed, frozen and starved."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

WRITER = """
import sys
from bagwright.web.serve import start_django
start_django()
from bagwright.bay import shots
from bagwright.store.models import Visit
visit = Visit.objects.get()
club = visit.player.clubs.get()
name, n = sys.argv[1], int(sys.argv[2])
for i in range(n):
    entry = shots.Entry(f"{name}-{i:06d}", club.pk, {"carry_m": 90.0 + i % 7})
    shots.add_shot(visit, None, entry)
    print(f"{name}-{i:06d}", flush=True)
"""
SETUP = """
from bagwright.web.serve import Serving, prepare
prepare(Serving())
from django.utils import timezone
from bagwright.store.models import Club, Player, Visit
from bagwright.web.middleware.who import single_account
player = Player.objects.create(coach=single_account(), name="Robin Example", hand="right")
Club.objects.create(player=player, name="7 iron", kind="iron")
Visit.objects.create(player=player, started_at=timezone.now())
"""


def child(
    code: str, folder: Path, *words: str, limit_bytes: int | None = None, database: str = ""
) -> subprocess.Popen[str]:
    """A process of the app's own functions: on a file in the folder, or on PostgreSQL by its address."""

    def limit() -> None:
        import resource  # not there under Windows

        if limit_bytes is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit_bytes, limit_bytes))
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    environment = {
        **os.environ, "BAGWRIGHT_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "bagwright.web.settings",
        "DATABASE_URL": database,
    }  # fmt: skip
    return subprocess.Popen(
        [sys.executable, "-c", code, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env=environment, preexec_fn=limit,
    )  # fmt: skip
