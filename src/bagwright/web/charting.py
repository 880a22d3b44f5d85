"""Charts of the papers as the pages draw them: compiled once on the server, so that both are one picture."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from typing import Any

from bagwright.report.charts.render import Chart, converted


def vega_of(chart: Chart) -> dict[str, Any]:
    """The chart as a Vega definition, which a page draws without the language that it was written in.

    Raises MachineError where the chart library refuses it.
    """
    text = json.dumps(chart.spec, sort_keys=True)
    found: dict[str, Any] = json.loads(_compiled(hashlib.sha256(text.encode()).hexdigest(), chart.name, text))
    return found


@lru_cache(maxsize=64)
def _compiled(digest: str, name: str, text: str) -> str:
    chart = Chart(name, "", "", json.loads(text))
    vega = converted(lambda convert: convert.vegalite_to_vega(chart.spec), chart)
    return json.dumps(vega)
