"""The listeners of one process: the main one, and a second one that answers paired devices only."""

from __future__ import annotations

import asyncio
import contextlib
import contextvars
import errno
import logging
import os
import socket
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from types import TracebackType
from typing import Any

import uvicorn
from django.core.exceptions import RequestAborted

from bagwright.errors import InputError, MachineError
from bagwright.words import tell

STOP_WITHIN_S = 2
USUAL_PORT = 8490
Application = Callable[[Any, Any, Any], Awaitable[None]]


class NotTheStreams(logging.Filter):
    """Leaves out that streams were cut at the end: they have no end of their own, so that is how they stop."""

    def filter(self, record: logging.LogRecord) -> bool:
        """False for the line that counts them, and for each one's own."""
        error = record.exc_info[1] if record.exc_info else None
        cut = isinstance(error, asyncio.CancelledError | RequestAborted)
        return not cut and not str(record.msg).startswith("Cancel %s running task(s)")


def server_of(application: Any) -> uvicorn.Server:
    """A uvicorn server that believes no forwarding header and stops although streams are open."""
    config = uvicorn.Config(
        application,
        lifespan="off",
        proxy_headers=False,
        server_header=False,
        log_level="warning",
        access_log=False,
        timeout_graceful_shutdown=STOP_WITHIN_S,
        h11_max_incomplete_event_size=64 * 1024,
    )
    for name in ("uvicorn.error", "asyncio"):
        if not any(isinstance(one, NotTheStreams) for one in logging.getLogger(name).filters):
            logging.getLogger(name).addFilter(NotTheStreams())
    return uvicorn.Server(config)


def for_devices(application: Application, host: str) -> Application:
    """The same application, told that a request came in by the second listener and under which name."""

    async def paired(scope: Any, receive: Any, send: Any) -> None:
        await application({**scope, "bagwright_paired": True, "bagwright_host": host}, receive, send)

    return paired


@dataclass(frozen=True, slots=True)
class Second:
    """The second listener while it is open: its address, and the running server."""

    host: str
    port: int
    server: uvicorn.Server
    task: asyncio.Task[None]


class Listeners:
    """Opens and closes them together; the second one is opened and closed from any thread."""

    running: Listeners | None = None

    def __init__(self, application: Any) -> None:
        self.application = application
        self.second: Second | None = None
        self.loop: asyncio.AbstractEventLoop | None = None
        self.context = contextvars.Context()
        self.ending: set[asyncio.Task[None]] = set()
        self.last_port: dict[str, int] = {}

    async def __aenter__(self) -> Listeners:
        self.loop = asyncio.get_running_loop()
        self.context = contextvars.copy_context()
        Listeners.running = self
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        Listeners.running = None
        await self._close()
        await self._ended()

    async def serve_main(self, listening: socket.socket) -> None:
        """Serve until stopped by a signal."""
        await server_of(self.application).serve(sockets=[listening])

    def open_second(self, host: str, port: int = 0) -> Second:
        """Open the second listener on an address, in place of the one that was open. Call from a view's thread.

        Port 0 is the one that this address had before, so that a paired device finds its page again, else the
        usual one, else any. Raises MachineError where the address cannot be listened on.
        """
        self._done(self._close())
        self._done(self._ended())
        bound = bind(host, port) if port else self._bound(host)
        second: Second = self._done(self._open(host, bound))
        return second

    def _bound(self, host: str) -> socket.socket:
        for wanted in (self.last_port.get(host, USUAL_PORT), USUAL_PORT):
            try:
                return bind(host, wanted)
            except MachineError as error:
                if not isinstance(error.__cause__, OSError) or error.__cause__.errno != errno.EADDRINUSE:
                    raise
        return bind(host, 0)

    def close_second(self) -> None:
        """Close it; its devices are cut off. Call from a view's thread."""
        self._done(self._close())

    def close_soon(self) -> None:
        """Let it end once its answers are out. Call from a view that it is answering itself."""
        if self.loop is not None:
            self.loop.call_soon_threadsafe(self._let_end)

    def _let_end(self) -> None:
        second, self.second = self.second, None
        if second is not None:
            second.server.should_exit = True
            self.ending.add(second.task)
            second.task.add_done_callback(self.ending.discard)

    async def _ended(self) -> None:
        if self.ending:
            await asyncio.wait(self.ending, timeout=STOP_WITHIN_S + 3)

    def _done(self, work: Any) -> Any:
        if self.loop is None:
            raise MachineError(tell("The server is not running."), tell("Start the program again."))
        return asyncio.run_coroutine_threadsafe(work, self.loop).result(timeout=10)

    async def _open(self, host: str, bound: socket.socket) -> Second:
        server = server_of(for_devices(self.application, host))
        # Signals belong to the main server: this one is ended by it.
        server.capture_signals = contextlib.nullcontext  # type: ignore[method-assign,assignment]
        # Not in the context of the request that asked for it, which ends long before: its database thread,
        # language and the like would be every device's.
        task = asyncio.get_running_loop().create_task(
            server.serve(sockets=[bound]), context=self.context.copy()
        )
        self.second = Second(host, bound.getsockname()[1], server, task)
        self.last_port[host] = self.second.port
        while not server.started and not task.done():
            await asyncio.sleep(0.01)
        return self.second

    async def _close(self) -> None:
        second, self.second = self.second, None
        if second is not None:
            second.server.should_exit = True
            with contextlib.suppress(asyncio.CancelledError):
                await asyncio.wait_for(second.task, STOP_WITHIN_S + 3)


def bind(host: str, port: int) -> socket.socket:
    """A socket on one address of this machine. Raises MachineError naming address and reason."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    made = socket.socket(family, socket.SOCK_STREAM)
    if os.name == "posix":
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind((host, port))
        made.listen(64)
    except OSError as error:
        made.close()
        raise MachineError(
            tell("{host} cannot be listened on ({reason}).", host=host, reason=error.strerror),
            tell("Choose another address of this machine."),
        ) from error
    return made


def running() -> Listeners:
    """The listeners of this process. Raises InputError where the app runs under another server."""
    if Listeners.running is None:
        raise InputError(
            tell("Pairing needs the program's own server."),
            tell("Start it with `bagwright serve`, then pair."),
        )
    return Listeners.running


def own_addresses() -> list[str]:
    """Addresses by which other devices may reach this machine, the likeliest first. Nothing is sent."""
    found: dict[str, None] = {}
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))  # an address for documentation: choosing a route sends no packet
        found[probe.getsockname()[0]] = None
    with contextlib.suppress(OSError):
        for entry in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET):
            found[str(entry[4][0])] = None
    return [address for address in found if not address.startswith("127.")]
