"""The API against its own description, in shop mode with a session: no 5xx, documented shapes, one error shape.

The requests are made by schemathesis (a general library for OpenAPI), with a fixed seed.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import urllib.request
from pathlib import Path

from tests.web.browser import served
from tests.web.test_pairing_process import Device

PASSWORD = "three quiet words 7"


def test_every_answer_is_as_described(tmp_path: Path) -> None:
    with served(tmp_path, "serve", "--shop") as running:
        assert running.process.stdout is not None
        code = re.search(r"code (\d{8})", running.process.stdout.readline())
        assert code is not None
        browser = Device(running.address)
        answer = browser.post("/first/", {"code": code[1], "name": "olga", "password": PASSWORD})
        assert answer[0] == 200
        with_data(browser)
        cookies = "; ".join(f"{cookie.name}={cookie.value}" for cookie in browser.jar)
        page = browser.get("/players/")[1]
        token = re.search(r'name="csrf" content="([^"]+)"', page)
        assert token is not None
        headers = [f"Cookie: {cookies}", f"X-CSRFToken: {token[1]}", f"Origin: {running.address}"]
        nobody = urllib.request.build_opener()
        schema = json.load(nobody.open(f"{running.address}/api/openapi.json"))
        assert {"/api/visits", "/api/visits/{visit_id}/shots"} <= set(schema["paths"])
        command = [
            sys.executable, "-m", "schemathesis.cli", "run", f"{running.address}/api/openapi.json", "--no-color",
            "--seed", "1", "--max-examples", "40", "--phases", "examples,coverage,fuzzing", "--request-timeout", "20",
            "--checks", "not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance",
        ]  # fmt: skip
        for header in headers:
            command += ["--header", header]
        done = subprocess.run(command, capture_output=True, text=True, timeout=240, check=False, cwd=tmp_path)
        assert done.returncode == 0, done.stdout[-6000:]
        assert re.search(r"[1-9][0-9]* generated", done.stdout), done.stdout[-2000:]


def with_data(browser: Device) -> None:
    """A player, a club and a visit, so that there is something to find."""
    status, page = browser.post(
        "/players/new/",
        {
            "name": "Robin Example",
            "hand": "right",
            "consent_on": "2026-05-09",
            "consent_by": "Robin",
            "club_limit": "14",
        },
    )
    assert status == 200
    assert 'href="/players/1/"' in page
    club = {"name": "7 iron", "kind": "iron", "status": "carried"}
    assert browser.post("/players/1/clubs/new/", club)[0] == 200
    assert browser.post("/players/1/visits/new/", {"kind": "fitting"}, form="/players/1/")[0] == 200
