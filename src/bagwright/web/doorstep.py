"""Before anything of the application runs: a body that is too long or too slow is not taken in at all."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Awaitable, Callable
from typing import Any

PIECE_WITHIN_S = 20.0
BODY_WITHIN_S = 600.0
"""How long one piece of a body, and all of it, may take: a table over a weak link passes, a held line does not."""

Application = Callable[[Any, Any, Any], Awaitable[None]]


class NotTakenError(Exception):
    """A body that is refused, with the status and the words of the answer."""

    def __init__(self, status: int, words: str) -> None:
        super().__init__(words)
        self.status = status
        self.words = words


class Doorstep:
    """An ASGI application around another one.

    The application itself reads every body to its end before it looks at the request, so a limit inside it
    would come after the disk is full.
    """

    def __init__(
        self,
        application: Application,
        most_of: Callable[[str], int],
        *,
        piece_within_s: float = PIECE_WITHIN_S,
        body_within_s: float = BODY_WITHIN_S,
    ) -> None:
        self.application = application
        self.most_of = most_of
        self.piece_within_s = piece_within_s
        self.body_within_s = body_within_s

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Pass a request on with its body counted and timed."""
        if scope["type"] != "http":
            await self.application(scope, receive, send)
            return
        begun = False

        async def answered(message: Any) -> None:
            nonlocal begun
            begun = True
            await send(message)

        most = self.most_of(scope["path"])
        try:
            said_length(scope, most)
            await self.application(scope, self._counted(receive, most), answered)
        except NotTakenError as error:
            if not begun:
                await refuse(send, error)

    def _counted(self, receive: Any, most: int) -> Callable[[], Awaitable[Any]]:
        taken, whole = 0, False
        until = time.monotonic() + self.body_within_s

        async def counted() -> Any:
            nonlocal taken, whole
            if whole:  # what follows is the end of the connection, which may be hours away
                return await receive()
            try:
                message = await asyncio.wait_for(
                    receive(), min(self.piece_within_s, max(0.0, until - time.monotonic()))
                )
            except TimeoutError as error:
                raise NotTakenError(408, "The request came too slowly.") from error
            taken += len(message.get("body", b""))
            whole = not message.get("more_body", False)
            if taken > most:
                raise NotTakenError(413, too_long(most))
            return message

        return counted


def said_length(scope: Any, most: int) -> None:
    """Refuse by the length that the request says of itself. Raises NotTakenError."""
    for name, value in scope["headers"]:
        if name.lower() != b"content-length":
            continue
        if not value.isdigit():
            raise NotTakenError(400, "The length of the request cannot be read.")
        if len(value) > 15 or int(value) > most:
            raise NotTakenError(413, too_long(most))


def too_long(most: int) -> str:
    """What is said of a body beyond its limit."""
    return f"More than {most // 1024**2} MiB cannot be sent here."


async def refuse(send: Any, error: NotTakenError) -> None:
    """Answer in plain words and close the connection: the rest of the body is not read."""
    body = f"{error.words}\n".encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"content-security-policy", b"default-src 'none'"),
        (b"x-content-type-options", b"nosniff"),
        (b"cache-control", b"no-store"),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": error.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
