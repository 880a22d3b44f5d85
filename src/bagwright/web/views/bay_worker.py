"""The worker that opens the bay's page without a link: served from the root, so that it sees the log-out too."""

from __future__ import annotations

import hashlib
import json
from functools import cache
from pathlib import Path

from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.templatetags.static import static
from django.views.decorators.http import require_safe

from bagwright import __version__

WORKER = "bagwright/worker.js"
PARTS = (
    "bagwright/icon.svg", "bagwright/app.css", "bagwright/bay.css", "bagwright/board.css",
    "bagwright/vendor/htmx.min.js", "bagwright/vendor/vega.min.js", "bagwright/vendor/vega-interpreter.min.js",
    "bagwright/app.js", "bagwright/charts.js", "bagwright/link.js", "bagwright/queue.js", "bagwright/pad.js",
    "bagwright/bay.js", "bagwright/live.js", "bagwright/offline.js",
)  # fmt: skip
"""What the bay's page loads. No part holds anything of a player."""


def content_of(name: str) -> bytes:
    """The bytes of a static file. Raises FileNotFoundError for a name that is none."""
    found = finders.find(name)
    if not isinstance(found, str):
        raise FileNotFoundError(name)
    return Path(found).read_bytes()


@cache
def worker_text() -> str:
    """The worker of this release. Every change of a part is another release: browsers compare the text."""
    digest = hashlib.sha256(__version__.encode())
    for name in (WORKER, *PARTS):
        digest.update(content_of(name))
    return written(digest.hexdigest()[:16], [static(name) for name in PARTS])


def written(release: str, shell: list[str]) -> str:
    """The worker with its release and the addresses of its parts above it."""
    named = f"const RELEASE = {json.dumps(release)}, SHELL = {json.dumps(shell)};\n"
    return named + content_of(WORKER).decode()


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The script. It holds no data, and must come also after the log-out: there it forgets the page."""
    return HttpResponse(worker_text(), content_type="text/javascript; charset=utf-8")
