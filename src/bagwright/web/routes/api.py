"""Address of the door for other software."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.urls import URLPattern, URLResolver, path

from bagwright.web.api import api


def _open(patterns: list[URLPattern | URLResolver]) -> list[URLPattern | URLResolver]:
    """The API asks for its own token: the pages' log-in must not answer in its place."""
    for pattern in patterns:
        if isinstance(pattern, URLPattern):
            login_not_required(pattern.callback)
    return patterns


_patterns, _app, _namespace = api.urls
urlpatterns: list[URLPattern | URLResolver] = [path("api/", (_open(_patterns), _app, _namespace))]
