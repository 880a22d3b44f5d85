"""The stream that tells a screen that its visit has changed."""

from __future__ import annotations

from collections.abc import AsyncIterator

from asgiref.sync import sync_to_async
from django.http import HttpRequest, StreamingHttpResponse
from django.views.decorators.http import require_safe

from bagwright.bay.live import revisions
from bagwright.web.views.common import visit_for


async def _events(visit_id: int, seen: int) -> AsyncIterator[str]:
    yield "retry: 2000\n\n"
    async for revision in revisions(visit_id, seen):
        if revision is None:
            yield ": still here\n\n"
        else:
            yield f"id: {revision}\nevent: changed\ndata: {revision}\n\n"


@require_safe
async def live(request: HttpRequest, visit_id: int) -> StreamingHttpResponse:
    """Server-sent events, one for each change after the one that the screen has seen."""
    visit = await sync_to_async(visit_for)(request, visit_id)
    said = request.headers.get("Last-Event-ID") or request.GET.get("seen", "")
    seen = int(said) if said.isdecimal() else visit.revision
    answer = StreamingHttpResponse(_events(visit.pk, seen), content_type="text/event-stream")
    answer["Cache-Control"] = "no-store"
    answer["X-Accel-Buffering"] = "no"
    return answer
