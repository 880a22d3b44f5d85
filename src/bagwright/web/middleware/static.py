"""Static files under an asynchronous server: sent whole, so that no thread is kept for a stream of them."""

from __future__ import annotations

from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from whitenoise.middleware import WhiteNoiseMiddleware


class WholeFiles(WhiteNoiseMiddleware):  # type: ignore[misc]
    """WhiteNoise, with each file read at once: the largest has half a megabyte."""

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer a static file, or pass the request on."""
        response: HttpResponseBase = super().__call__(request)
        return whole(response) if isinstance(response, FileResponse) else response


def whole(response: FileResponse) -> HttpResponse:
    """The same answer with its bytes in place of a stream."""
    content = response.getvalue()
    made = HttpResponse(content, status=response.status_code)
    headers: Any = response.headers
    for name, value in headers.items():
        made[name] = value
    response.close()
    return made
