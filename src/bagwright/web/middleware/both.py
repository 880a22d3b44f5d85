"""One way to write a middleware that serves ordinary and asynchronous views alike."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

from asgiref.sync import iscoroutinefunction, markcoroutinefunction, sync_to_async
from django.http import HttpRequest
from django.http.response import HttpResponseBase

Before = Callable[[HttpRequest], HttpResponseBase | None]
After = Callable[[HttpRequest, HttpResponseBase], HttpResponseBase]


class Both:
    """Runs `before` (an answer ends the request) and `after` around the next one, sync or async."""

    sync_capable = True
    async_capable = True

    def __init__(
        self,
        get_response: Callable[[HttpRequest], Any],
        before: Before | None = None,
        after: After | None = None,
        *,
        uses_database: bool = False,
    ) -> None:
        self.get_response = get_response
        self.before = before
        self.after = after
        self.uses_database = uses_database
        self.is_async = iscoroutinefunction(get_response)
        if self.is_async:
            markcoroutinefunction(self)

    def __call__(self, request: HttpRequest) -> HttpResponseBase | Awaitable[HttpResponseBase]:
        """Answer one request."""
        if self.is_async:
            return self._later(request)
        answer = self.before(request) if self.before else None
        response: HttpResponseBase = answer if answer is not None else self.get_response(request)
        return self.after(request, response) if self.after else response

    async def _later(self, request: HttpRequest) -> HttpResponseBase:
        answer = None
        if self.before:
            before = sync_to_async(self.before, thread_sensitive=True) if self.uses_database else None
            answer = await before(request) if before else self.before(request)
        response: HttpResponseBase = answer if answer is not None else await self.get_response(request)
        return self.after(request, response) if self.after else response
