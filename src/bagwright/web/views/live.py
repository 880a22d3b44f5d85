"""The stream that tells a screen that its visit has changed."""

from __future__ import annotations

from collections.abc import AsyncIterator

from asgiref.sync import sync_to_async
from django.http import HttpRequest, StreamingHttpResponse
from django.views.decorators.http import require_safe

from bagwright.bay.live import revisions
from bagwright.bay.pairing import still_paired
from bagwright.web.views.bay import number_of
from bagwright.web.views.common import visit_for

BEAT_S = 3.0
DEVICE_BEAT_S = 2.0
"""How often a quiet stream says that it is still there. A radio link that fades breaks no stream: only the silence
tells. live.js waits for a little more than two beats."""


async def _events(visit_id: int, seen: int, device_id: int | None) -> AsyncIterator[str]:
    """The events; for a paired device until it is cut off, which is looked for every other second."""
    yield "retry: 2000\n\n"
    async for revision in revisions(visit_id, seen, BEAT_S if device_id is None else DEVICE_BEAT_S):
        if device_id is not None and not await sync_to_async(still_paired)(device_id):
            return
        if revision is None:
            yield "event: here\ndata: -\n\n"
        else:
            yield f"id: {revision}\nevent: changed\ndata: {revision}\n\n"


@require_safe
async def live(request: HttpRequest, visit_id: int) -> StreamingHttpResponse:
    """Server-sent events, one for each change after the one that the screen has seen."""
    visit = await sync_to_async(visit_for)(request, visit_id)
    said = request.headers.get("Last-Event-ID") or request.GET.get("seen", "")
    known = number_of(said)
    seen = visit.revision if known is None else known
    device = getattr(request, "paired_device", None)
    events = _events(visit.pk, seen, device.pk if device is not None else None)
    answer = StreamingHttpResponse(events, content_type="text/event-stream")
    answer["Cache-Control"] = "no-store"
    answer["X-Accel-Buffering"] = "no"
    return answer
