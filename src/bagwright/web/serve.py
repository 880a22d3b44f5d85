"""Start the site: prepare the data folder, bring the database up to date, listen, open a browser."""

from __future__ import annotations

import asyncio
import errno
import os
import socket
import sqlite3
import webbrowser
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path

from bagwright.errors import InputError, MachineError
from bagwright.store.keeping import log_kept
from bagwright.store.place import data_folder, make_folder, secret_key

LOOPBACK = ("127.0.0.1", "::1", "localhost")
USUAL_PORT = 8470
TRIES = 20


@dataclass(frozen=True, slots=True)
class Serving:
    """How to serve: where, with accounts (`shop`) or without, by https or not."""

    host: str = "127.0.0.1"
    port: int | None = None
    shop: bool = False
    https: bool = False
    hosts: tuple[str, ...] = ()
    proxy: str = ""
    browser: bool = True


def prepare(serving: Serving) -> None:
    """Configure Django from the environment and bring the database up to date.

    Raises InputError for a single-user start on an address that others reach, MachineError for a database
    that cannot be opened.
    """
    if not serving.shop and serving.host not in LOOPBACK:
        raise InputError(
            f"Without accounts only this machine may ask, but --host is {serving.host}.",
            "Add --shop for accounts, or pair a tablet from the visit's page.",
        )
    os.environ["DJANGO_SETTINGS_MODULE"] = "bagwright.web.settings"
    os.environ["BAGWRIGHT_MODE"] = "shop" if serving.shop else "single"
    os.environ["BAGWRIGHT_HTTPS"] = "1" if serving.https else ""
    os.environ["BAGWRIGHT_PROXY"] = serving.proxy
    names = list(serving.hosts)
    if serving.shop and serving.host not in (*LOOPBACK, "0.0.0.0", "::"):  # noqa: S104 - compared, not bound
        names.append(serving.host)
    os.environ["BAGWRIGHT_HOSTS"] = ",".join(names)
    folder = make_folder(data_folder())
    secret_key(folder)
    start_django()


def start_django() -> None:
    """Set Django up and migrate. Raises MachineError naming the database and the reason."""
    import django
    from django.core.management import call_command
    from django.db import DatabaseError, connection

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "bagwright.web.settings")
    django.setup()
    try:
        call_command("migrate", verbosity=0, interactive=False)
    except (DatabaseError, sqlite3.Error, OSError) as error:
        where = connection.settings_dict["NAME"]
        raise MachineError(
            f"The database {where} cannot be opened or brought up to date ({error}).",
            "Check its folder and space, or DATABASE_URL.",
        ) from error
    connection.close()


def serve(serving: Serving, say: Callable[[str], None], *, demo: bool = False) -> None:
    """Listen until stopped. `say` gets a line when the address is open, before any browser is.

    `demo` puts the invented player into the data first and opens that visit.
    """
    prepare(serving)
    path = open_demo() if demo else "/"
    listening = open_socket(serving.host, serving.port)
    port = listening.getsockname()[1]
    name = f"[{serving.host}]" if ":" in serving.host else serving.host
    address = f"http://{name}:{port}"
    say(f"Listening on {address}{path if demo else ''}  (Ctrl-C stops)")
    if serving.shop:
        tell_setup_code(address, say)
    if serving.browser:
        webbrowser.open(f"{address}{path}")
    try:
        asyncio.run(run(listening))
    finally:
        from bagwright.bay import picks, strokes

        strokes.give_up()
        picks.give_up()


def open_demo() -> str:
    """Put the invented player into the data, and give the address of the visit."""
    from django.db import connection

    from bagwright.bay.demo import seed_demo
    from bagwright.web.middleware.who import single_account

    visit = seed_demo(single_account())
    connection.close()
    return f"/visits/{visit.pk}/"


def tell_setup_code(address: str, say: Callable[[str], None]) -> None:
    """While nobody can log in, say where and with which code the first account is made."""
    from django.db import connection

    from bagwright.bay.accounts import needs_first, setup_code
    from bagwright.bay.sessions import sweep

    sweep()
    if needs_first():
        say(f"Nobody can log in yet. Make the first account at {address}/first/ with the code {setup_code()}")
    connection.close()


def open_socket(host: str, port: int | None) -> socket.socket:
    """Bind, or say who has the port. Port 0 is any free one, None the usual one or the next free."""
    if port is not None:
        return _bound(host, port)
    for number in range(USUAL_PORT, USUAL_PORT + TRIES - 1):
        try:
            return _bound(host, number)
        except MachineError as error:
            if not isinstance(error.__cause__, OSError) or error.__cause__.errno != errno.EADDRINUSE:
                raise
    return _bound(host, USUAL_PORT + TRIES - 1)


def _bound(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    if os.name == "posix":
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
        made.listen(256)
    except OSError as error:
        made.close()
        raise MachineError(
            f"Port {port} of {host} cannot be opened ({error.strerror}).",
            "Another program, or another bagwright, may have it: choose one with --port, 0 for any.",
        ) from error
    return made


async def run(listening: socket.socket) -> None:
    """Run the main listener, and the second one for paired devices while there is one."""
    from bagwright.web.asgi import application
    from bagwright.web.listeners import Listeners

    with log_of_the_database():
        async with Listeners(application) as listeners:
            await listeners.serve_main(listening)


def log_of_the_database() -> AbstractContextManager[None]:
    """SQLite's log, kept while the site runs; nothing to keep where the database is a server's."""
    from django.db import connection

    if connection.vendor != "sqlite":
        return nullcontext()
    return log_kept(Path(connection.settings_dict["NAME"]))
