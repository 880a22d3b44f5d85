"""The summary of a study: quantiles and their ranges, players over rounds, clubs by handicap."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

from bagwright.report.charts.render import chart_in, to_svg
from bagwright.report.charts.study import clubs_chart, spread_chart, worth_chart
from bagwright.tasks.study_summary import band_words, club_order, quantiles, summary_of


def test_the_range_of_a_median_of_25_is_that_of_the_binomial_by_hand() -> None:
    """B(25, 1/2): P(B <= 7) = 0.0216, P(B <= 8) = 0.0539, so the 8th and 18th smallest (sums by hand)."""
    below = [sum(math.comb(25, k) for k in range(n)) / 2**25 for n in range(26)]
    low = max(n for n in range(26) if below[n] <= 0.05)
    high = min(n for n in range(26) if below[n] >= 0.95)
    assert (low, high) == (8, 18)
    (found,) = quantiles(np.arange(1.0, 26.0), (0.5,))
    assert (found.value, found.low, found.high) == (13.0, 8.0, 18.0)


def test_ranges_hold_the_truth_nine_times_in_ten() -> None:
    """A property of order statistics, whatever the distribution: here a skew one with a known quantile."""
    rng = np.random.default_rng(5)
    truth = -math.log(1 - 0.75)
    inside = 0
    for _ in range(600):
        (found,) = quantiles(rng.exponential(size=40), (0.75,))
        assert found.low is not None
        assert found.high is not None
        inside += found.low <= truth <= found.high
    assert 0.87 < inside / 600 < 0.97


def test_too_few_players_have_no_range_and_none_no_quantile() -> None:
    (found,) = quantiles(np.array([70.0, 80.0]), (0.5,))
    assert (found.value, found.low, found.high) == (75.0, None, None)
    assert quantiles(np.array([])) == ()
    assert quantiles(np.array([math.nan])) == ()


def row(player: int, strokes: float | None, handicap: float | None, **more: Any) -> dict[str, Any]:
    return {"player": player, "strokes": strokes, "handicap": handicap, "failed": None, **more}


def test_a_player_is_the_weighted_mean_over_the_rounds_and_counts_with_all_of_them_only() -> None:
    rows = [
        row(1, 80.0, 12.0, weight=3.0, uses="driver=12.0; 7 iron=2.0"),
        row(1, 90.0, 12.0, weight=1.0, uses="driver=8.0"),
        row(2, 70.0, 2.0, weight=3.0, uses="driver=10.0"),
        row(2, None, 2.0, weight=1.0) | {"failed": "The tee is gone."},
        row(3, 100.0, None, weight=3.0, uses="7 iron=4.0"),
        row(3, 104.0, None, weight=1.0, uses="7 iron=4.0"),
    ]
    found = summary_of(rows, 2, [1.0, 3.0, 2.0])
    assert found.mean == pytest.approx((82.5 + 101.0) / 2)
    assert [(band.low, band.players, band.strokes.value) for band in found.by_handicap] == [
        (10.0, 1, 82.5),
        (None, 1, 101.0),
    ]
    assert [(line.club, line.players) for line in found.clubs] == [("driver", 1), ("7 iron", 2)]
    assert found.clubs[0].uses == pytest.approx(11.0)
    assert found.clubs[1].uses == pytest.approx((1.5 + 4.0) / 2)
    assert found.shares["10 to 15"] == pytest.approx({"driver": 11.0, "7 iron": 1.5})
    assert found.processor_s == 2.0
    assert found.gain == ()


def test_picks_are_counted_by_those_who_were_offered_the_club() -> None:
    rows = [
        row(
            1,
            80.0,
            12.0,
            offered="driver; 3 wood; 7 iron",
            worth="driver=0.5; 7 iron=0.2",
            strokes_today=80.5,
        ),
        row(2, 90.0, 13.0, offered="driver; 7 iron", worth="driver=0.7", strokes_today=90.0),
    ]
    found = summary_of(rows, 1, [])
    shares = {line.club: (line.players, line.picked) for line in found.clubs}
    assert shares == {"driver": (2, 1.0), "3 wood": (1, 0.0), "7 iron": (2, 0.5)}
    assert found.clubs[0].worth[1].value == pytest.approx(0.6)
    assert found.clubs[1].worth == ()
    assert found.gain[2].value == pytest.approx(0.25)
    assert found.processor_s is None


def test_nothing_at_all_is_said_to_be_nothing() -> None:
    found = summary_of([], 1, [])
    assert (found.strokes, found.mean, found.by_handicap, found.clubs) == ((), None, (), ())
    for chart in (spread_chart([]), clubs_chart({}, [], picked=True), worth_chart({})):
        assert "Nothing to draw" in to_svg(chart)


def test_clubs_stand_longest_first_and_bands_are_written_as_golfers_do() -> None:
    given = ["60° wedge", "7 iron", "driver", "4 hybrid", "46° wedge", "27° iron", "5 wood", "3 wood"]
    assert sorted(given, key=club_order) == [
        "driver", "3 wood", "5 wood", "4 hybrid", "7 iron", "27° iron", "46° wedge", "60° wedge",
    ]  # fmt: skip
    assert [band_words(low) for low in (-5.0, 0.0, 10.0, None)] == ["+5 to 0", "0 to 5", "10 to 15", "?"]


def test_the_pictures_say_in_words_what_they_show_and_speak_german() -> None:
    spread = spread_chart([70.0 + i for i in range(41)])
    assert spread.alt.startswith(
        "41 players. Half need fewer than 90.0 strokes; 5 in a hundred fewer than 72.0"
    )
    clubs = clubs_chart({"10 to 15": {"driver": 0.75, "7 iron": 1.0}}, ["driver", "7 iron"], picked=True)
    assert "Handicap 10 to 15: driver 75 %, 7 iron 100 %." in clubs.alt
    assert ">75 %<" in to_svg(clubs), "the figure stands in the field; colour is not alone"
    worth = worth_chart({"driver": (0.2, 0.5, 0.9), "52° wedge": (0.0, 0.1, 0.3)})
    assert "driver 0.50 (0.20 to 0.90); 52° wedge 0.10 (0.00 to 0.30)" in worth.alt
    assert "52° wedge" in to_svg(worth)
    assert "0,50 (0,20 bis 0,90)" in chart_in(worth, "de").alt
    assert to_svg(clubs) == to_svg(clubs)
