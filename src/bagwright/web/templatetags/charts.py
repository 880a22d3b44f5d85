"""A chart in a page: its picture, the same in words, and the figures as a table."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from typing import Any

from django import template

from bagwright.bay.language import reader
from bagwright.report.charts.render import Chart, chart_in
from bagwright.web.charting import vega_of, width_is_free

register = template.Library()


@register.inclusion_tag("web/_chart.html")
def chart(shown: Chart, headings: Sequence[str] = (), rows: Sequence[Sequence[str]] = ()) -> dict[str, Any]:
    """The figure of a chart; `headings` and `rows` are the table behind it, shown when asked for."""
    drawn = chart_in(shown, reader())
    return {
        "chart": drawn,
        "spec": vega_of(drawn),
        "free": width_is_free(drawn),
        "id": f"chart-{uuid.uuid4().hex[:12]}",
        "headings": headings,
        "rows": rows,
    }
