"""The charts: one Vega-Lite definition each, as a plain dict, with a text that says the same in words."""

from bagwright.report.charts.airs import air_chart
from bagwright.report.charts.board import board_chart
from bagwright.report.charts.carries import carry_chart
from bagwright.report.charts.landing import landing_chart
from bagwright.report.charts.order import order_chart
from bagwright.report.charts.render import Chart, chart_in, to_png, to_svg
from bagwright.report.charts.sideview import sideview_chart

__all__ = [
    "Chart",
    "air_chart",
    "board_chart",
    "carry_chart",
    "chart_in",
    "landing_chart",
    "order_chart",
    "sideview_chart",
    "to_png",
    "to_svg",
]
