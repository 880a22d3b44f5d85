"""The charts: valid, sober, readable without colour, and saying the same in words."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from defusedxml.ElementTree import fromstring

from bagwright.errors import MachineError
from bagwright.report.charts import (
    Chart,
    board_chart,
    carry_chart,
    landing_chart,
    order_chart,
    to_png,
    to_svg,
)
from bagwright.report.charts.board import WIDTH_FACTOR
from bagwright.report.charts.landing import outline, region_size
from bagwright.report.charts.render import make_chart
from bagwright.report.charts.scale import limits, nice_step
from bagwright.report.model import CandidateRow, Region
from bagwright.report.pdf import charts_of
from bagwright.report.theme import INK, QUIET, sign
from bagwright.report.words import Show
from tests.unit.report import sample

SVG = "{http://www.w3.org/2000/svg}"


def _charts(n: int = 3, system: str = "yards", names: tuple[str, ...] = sample.NAMES) -> dict[str, Chart]:
    return charts_of(sample.report(n, names=names), system)  # type: ignore[arg-type]


def _values(spec: Any) -> list[dict[str, Any]]:
    """Every datum of a definition, whatever view it stands in."""
    if isinstance(spec, dict):
        own = spec.get("data", {}).get("values", []) if isinstance(spec.get("data"), dict) else []
        return [*own, *(datum for item in spec.values() for datum in _values(item))]
    if isinstance(spec, list):
        return [datum for item in spec for datum in _values(item)]
    return []


def test_a_trial_has_its_own_charts_and_a_report_without_one_has_the_bags() -> None:
    assert set(_charts()) == {"candidates", "flight", "landing", "distances", "flights", "air", "order"}
    assert set(_charts(0)) == {"distances", "flights", "air"}


@pytest.mark.parametrize("n", [2, 3, 6])
@pytest.mark.parametrize("system", ["yards", "metres"])
def test_every_chart_is_valid_svg_with_the_words_in_it(n: int, system: str) -> None:
    for chart in _charts(n, system).values():
        root = fromstring(to_svg(chart))
        assert root.tag == SVG + "svg"
        assert root.attrib["aria-label"] == chart.alt
        assert 100 < float(root.attrib["width"]) <= 657
        assert "http" not in json.dumps({key: value for key, value in chart.spec.items() if key != "$schema"})


def test_png_is_a_png() -> None:
    assert to_png(_charts()["candidates"], 1.0).startswith(b"\x89PNG\r\n\x1a\n")


def test_the_same_chart_gives_the_same_bytes() -> None:
    assert to_svg(_charts()["landing"]) == to_svg(_charts()["landing"])


def test_a_hostile_name_stays_text() -> None:
    names = (sample.HOSTILE, '"><script>alert(1)</script>', "datum.value", *sample.NAMES[3:])
    for chart in _charts(3, names=names).values():
        svg = to_svg(chart)
        root = fromstring(svg)
        assert not [item for item in root.iter() if item.tag in (SVG + "script", SVG + "b")]
        assert "\x00" not in svg
        assert "\u202e" not in svg


def test_no_chart_loads_anything_from_outside() -> None:
    body = {"data": {"url": "https://example.org/x.json"}, "mark": "point", "encoding": {}}
    with pytest.raises(MachineError, match="could not be drawn"):
        to_svg(make_chart("x", "x", "x", body))


def test_the_alternative_text_carries_every_number_of_the_board() -> None:
    alt = _charts()["candidates"].alt
    # By hand: 99.6 ± 2.6, 96.5 ± 2.6 and 93.4 ± 2.6 yd; shares 8, 10, 12 %.
    for said in ("100 (97", "96 (94", "93 (91", "8 (2", "10 (2", "12 (2", "not measured", "cannot tell"):
        assert said in alt.replace("\u00a0", " ")


def test_the_width_holds_nine_in_ten_of_a_normal_spread() -> None:
    # Standard normal table: P(|Z| < 1.6449) = 0.9000.
    assert math.erf(WIDTH_FACTOR / 2 / math.sqrt(2)) == pytest.approx(0.90, abs=1e-4)


def test_distances_are_longest_first_and_estimates_are_told_apart() -> None:
    chart = carry_chart(sample.carries(13), Show("yards"))
    stock = [datum for datum in _values(chart.spec) if datum.get("swing") == "stock"]
    carries = [datum["carry"] for datum in sorted(stock, key=lambda datum: datum["lane"])]
    assert carries == sorted(carries, reverse=True)
    assert [datum["club"] for datum in stock if datum["known"] == "estimated"] == ["5 wood"]
    assert "5 wood: stock 187\u00a0yd" in chart.alt


@pytest.mark.parametrize("n", [2, 6])
def test_a_yard_across_is_as_long_as_a_yard_away(n: int) -> None:
    chart = landing_chart(
        sample.landings(sample.NAMES[:n]), sample.balls(sample.NAMES[:n]), Show("yards"), 84.0
    )
    view = chart.spec if n == 2 else chart.spec["vconcat"][0]["hconcat"][0]
    encoding = view["layer"][-1]["encoding"]
    across, along = (encoding[axis]["scale"]["domain"] for axis in ("x", "y"))
    per_yard_x = view["width"] / (across[1] - across[0])
    per_yard_y = view["height"] / (along[1] - along[0])
    assert per_yard_x == pytest.approx(per_yard_y, rel=0.01)
    assert across[0] == -across[1]


def test_right_of_the_line_is_drawn_right_for_everybody() -> None:
    chart = landing_chart(sample.landings(sample.NAMES[:1]), sample.balls(sample.NAMES[:1]), Show("metres"))
    drawn = sorted(datum["side"] for datum in _values(chart.spec) if "struck" in datum)
    given = sorted(
        ball.side_m
        for ball in sample.balls(sample.NAMES[:1])
        if ball.side_m is not None and ball.mark in ("", "mishit")
    )
    assert drawn == pytest.approx(given)


def test_bad_reads_are_not_drawn_and_mishits_are_hollow() -> None:
    names = sample.NAMES[:3]
    chart = landing_chart(sample.landings(names), sample.balls(names), Show("yards"))
    struck = [datum["struck"] for datum in _values(chart.spec) if "struck" in datum]
    balls = [ball for ball in sample.balls(names) if ball.mark in ("", "mishit") and ball.side_m is not None]
    assert len(struck) == len(balls)
    assert struck.count("mishit") == sum(ball.mark == "mishit" for ball in balls) > 0


def test_a_region_closes_and_keeps_its_size_when_turned() -> None:
    for angle in (0.0, 0.4, math.pi / 2):
        region = Region(0.9, 100.0, 2.0, (8.0, 3.0), angle)
        points = outline(region, 360)
        assert points[0] == pytest.approx(points[-1])
        far = [math.hypot(side - 2.0, carry - 100.0) for side, carry in points]
        assert max(far) == pytest.approx(8.0, rel=1e-3)
        assert min(far) == pytest.approx(3.0, rel=1e-3)
        across, along = region_size(region)
        assert across == pytest.approx(2 * max(side - 2.0 for side, _ in points), rel=1e-3)
        assert along == pytest.approx(2 * max(carry - 100.0 for _, carry in points), rel=1e-3)


def test_a_positive_angle_turns_the_long_axis_to_the_right() -> None:
    farthest = max(outline(Region(0.5, 0.0, 0.0, (8.0, 1.0), 0.5)), key=lambda point: point[1])
    assert farthest[0] > 0


def test_the_order_keeps_one_strip_a_visit_with_the_drift_behind() -> None:
    names = sample.NAMES[:2]
    balls = (*sample.balls(names, "2026-04-18"), *sample.balls(names, "2026-05-09"))
    chart = order_chart(balls, sample.report(2).drift, names, Show("yards"))
    assert [view["title"]["text"] for view in chart.spec["vconcat"]] == [
        "Visit 2026-04-18",
        "Visit 2026-05-09",
    ]
    colours = [view["layer"][-1]["encoding"]["fill"]["scale"] for view in chart.spec["vconcat"]]
    assert colours[0] == colours[1]
    assert "drift goes from" in chart.alt


def test_a_board_of_one_measured_side_does_not_fail() -> None:
    row = CandidateRow(name="A")
    chart = board_chart((row, row), (), sample.answer(), Show("yards"))
    assert "not measured" in to_svg(chart)
    assert "not compared" in to_svg(chart)


def test_signs_are_told_apart_by_shape_and_colour() -> None:
    signs = [sign(i) for i in range(36)]
    assert len({(one.colour, one.shape) for one in signs}) == 36
    assert len({one.shape for one in signs[:6]}) == 6
    assert len({one.glyph for one in signs[:6]}) == 6
    assert [sign(i).letter for i in (0, 25, 26, 27)] == ["A", "Z", "AA", "AB"]


def test_colours_are_those_of_okabe_and_ito() -> None:
    # Okabe and Ito (2008), Color Universal Design, figure 16, as 8-bit values; from memory.
    # Red, green, blue:
    table = {(0, 114, 178), (213, 94, 0), (0, 158, 115), (204, 121, 167), (230, 159, 0), (86, 180, 233)}
    used = {tuple(int(sign(i).colour[j : j + 2], 16) for j in (1, 3, 5)) for i in range(6)}
    assert used == table


@pytest.mark.parametrize("colour", [INK, QUIET, "#0b4f78"])
def test_text_stands_out_from_white(colour: str) -> None:
    # Web Content Accessibility Guidelines 2.2, 1.4.3: contrast of at least 4.5 : 1.
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    assert 1.05 / (luminance + 0.05) >= 4.5


def test_axis_limits_are_round_and_hold_everything() -> None:
    assert limits([91.3, 104.2], parts=3) == (90.0, 105.0)
    assert limits([float("nan")], at_least=4.0) == (0.0, 4.0)
    assert limits([5.0], at_least=10.0) == (0.0, 10.0)
    low, high = limits([0.3, 0.9], zero=True)
    assert low == 0.0
    assert high >= 0.9
    assert nice_step(100.0, 4) == 25.0
