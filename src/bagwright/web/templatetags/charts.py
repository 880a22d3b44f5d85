"""A chart in a page: its picture, the same in words, and the figures as a table."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Any

from django import template

from bagwright.report.charts.render import Chart
from bagwright.web.charting import vega_of, width_is_free

register = template.Library()


@register.inclusion_tag("web/_chart.html")
def chart(shown: Chart, headings: Sequence[str] = (), rows: Sequence[Sequence[str]] = ()) -> dict[str, Any]:
    """The figure of a chart; `headings` and `rows` are the table behind it, shown when asked for."""
    return {
        "chart": shown,
        "spec": vega_of(shown),
        "free": width_is_free(shown),
        "id": f"chart-{uuid.uuid4().hex[:12]}",
        "headings": headings,
        "rows": rows,
    }
