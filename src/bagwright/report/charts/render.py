"""From a chart definition to SVG and PNG, without a browser and without the network."""

from __future__ import annotations

import html
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from bagwright.errors import MachineError
from bagwright.report.safe import FONTS
from bagwright.report.theme import vega_config
from bagwright.words import all_in_language, decimal_comma, in_language, tell

if TYPE_CHECKING:
    from types import ModuleType

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
"""Names the version of the chart language; nothing is fetched from it."""

Spec = dict[str, Any]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: a name for its file, a title, the same in words (for who cannot see it), its definition."""

    name: str
    title: str
    alt: str
    spec: Spec


def make_chart(name: str, title: str, alt: str, body: Spec) -> Chart:
    """Give a chart with the house's look; `body` is a Vega-Lite view without schema and config."""
    spec = {"$schema": SCHEMA, "description": alt, "config": vega_config(), **body}
    return Chart(name, title, alt, spec)


def chart_in(chart: Chart, language: str) -> Chart:
    """Give the chart with its title, its words and its labels in a language."""
    return Chart(
        chart.name,
        in_language(chart.title, language),
        in_language(chart.alt, language),
        _with_comma(all_in_language(chart.spec, language), language),
    )


def _with_comma(spec: Spec, language: str) -> Spec:
    """Let the axes write their numbers with the language's decimal sign."""
    if not decimal_comma(language):
        return spec
    number = {"decimal": ",", "thousands": ".", "grouping": [3], "currency": ["", ""]}
    return {**spec, "config": {**spec["config"], "locale": {"number": number}}}


def to_svg(chart: Chart) -> str:
    """Give the chart as SVG text. Raises MachineError where the chart library is missing or refuses it."""
    svg = converted(lambda convert: str(convert.vegalite_to_svg(chart.spec, allowed_base_urls=[])), chart)
    title, said = html.escape(chart.title), html.escape(chart.alt)
    named = f' role="img" aria-label="{said}"><title>{title}</title><desc>{said}</desc>'
    return svg.replace(">", named, 1)


def to_png(chart: Chart, scale: float = 2.0) -> bytes:
    """Give the chart as a PNG picture, `scale` times its size in pixels of 1/96 inch."""
    return converted(
        lambda convert: bytes(convert.vegalite_to_png(chart.spec, scale=scale, allowed_base_urls=[])), chart
    )


def converted(convert: Callable[[ModuleType], T], chart: Chart) -> T:
    """Give what `convert` makes of the chart library. Raises MachineError naming the chart it refuses."""
    try:
        return convert(_converter())
    except ValueError as error:
        raise MachineError(
            tell(
                'The chart "{chart}" could not be drawn: {error}.', chart=chart.name, error=str(error)[:200]
            ),
            tell("Please report this with the shots that led to it."),
        ) from error


@cache
def _converter() -> ModuleType:
    try:
        import vl_convert
    except ImportError as error:
        raise MachineError(
            tell("The chart library vl-convert-python is missing or broken."),
            tell("Install bagwright again."),
        ) from error
    vl_convert.register_font_directory(str(FONTS))
    module: ModuleType = vl_convert
    return module
