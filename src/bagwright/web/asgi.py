"""The site as an ASGI application, for uvicorn."""

from __future__ import annotations

import os

from django.core.asgi import get_asgi_application

from bagwright.web.doorstep import Doorstep

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "bagwright.web.settings")
_site = get_asgi_application()

from bagwright.web.middleware.guard import most_bytes  # noqa: E402 - Django must be set up first

application = Doorstep(_site, most_bytes)
