"""The listeners of one process: the main one, and a second one that answers paired devices only."""

from __future__ import annotations

import socket
from types import TracebackType
from typing import Any

import uvicorn

STOP_WITHIN_S = 2


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
    return uvicorn.Server(config)


class Listeners:
    """Opens and closes them together."""

    def __init__(self, application: Any) -> None:
        self.application = application

    async def __aenter__(self) -> Listeners:
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        return None

    async def serve_main(self, listening: socket.socket) -> None:
        """Serve until stopped by a signal."""
        await server_of(self.application).serve(sockets=[listening])
