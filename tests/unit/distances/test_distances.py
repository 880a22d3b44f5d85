"""Steps, overlaps, gaps, the loft line and wedges, on bags typed by hand."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.bag.finding import Finding
from bagwright.distances import DistanceTable, StepRules, distances
from bagwright.distances.line import theil_sen
from bagwright.errors import InputError
from bagwright.units import M_PER_YD
from tests.unit.distances.fakes import FakeFit, FakeFits, fit


def iron(name: str, loft: float = 30.0, **more: object) -> Club:
    return Club(name, "iron", build=Build(loft_deg=loft), **more)  # type: ignore[arg-type]


def wedge(name: str, loft: float, **more: object) -> Club:
    return Club(name, "wedge", build=Build(loft_deg=loft), **more)  # type: ignore[arg-type]


def table(clubs: list[Club], fits: list[FakeFit], rules: StepRules | None = None) -> DistanceTable:
    stock = {(club.name, "stock"): one for club, one in zip(clubs, fits, strict=True)}
    return distances(FakeFits(stock), Bag(clubs=tuple(clubs)), rules)


def of_kind(result: DistanceTable, kind: str) -> list[Finding]:
    return [finding for finding in result.findings if finding.kind == kind]


def test_clubs_stand_longest_first_and_steps_lie_between_neighbours() -> None:
    result = table([iron("b"), iron("a"), iron("c")], [fit(150, 8), fit(163, 8), fit(138, 8)])
    assert [row.club for row in result.clubs] == ["a", "b", "c"]
    assert [(s.longer, s.shorter) for s in result.steps] == [("a", "b"), ("b", "c")]
    step = result.steps[0]
    assert step.step_m.value / M_PER_YD == pytest.approx(13.0, abs=0.15)
    # Two independent carries known to 1.5 yd: their difference to 1.5 sqrt(2), 90 % range +- 1.645 of it.
    half = 1.6449 * 1.5 * 2**0.5
    assert (step.step_m.high - step.step_m.low) / 2 / M_PER_YD == pytest.approx(half, rel=0.06)
    assert step.share == pytest.approx(13 / 156.5, abs=0.002)
    assert step.word == "even"
    assert not of_kind(result, "overlap")
    assert not of_kind(result, "gap")


@pytest.mark.parametrize("apart", [1.0, 4.0, 9.0, 25.0, 40.0])
def test_probabilities_agree_with_the_closed_form(apart: float) -> None:
    """The difference of two normals against fixed limits; scipy.stats.norm is the outside reference."""
    rules = StepRules(overlap_spreads=0.0, gap_spreads=0.0)
    step = table([iron("a"), iron("b")], [fit(150 + apart, 8, 3.0), fit(150, 8, 3.0)], rules).steps[0]
    middle, sd = 150 + apart / 2, 3.0 * 2**0.5
    assert step.p_overlap == pytest.approx(stats.norm.cdf(0.035 * middle, apart, sd), abs=0.03)
    assert step.p_gap == pytest.approx(stats.norm.sf(0.13 * middle, apart, sd), abs=0.03)


def test_limits_scale_with_carry_and_with_spread() -> None:
    rules = StepRules()
    tight = table([iron("a"), iron("b")], [fit(164, 6), fit(150, 6)], rules).steps[0]
    loose = table([iron("a"), iron("b")], [fit(164, 16), fit(150, 16)], rules).steps[0]
    short = table([iron("a"), iron("b")], [fit(84, 6), fit(75, 6)], rules).steps[0]
    assert loose.overlap_below_m == pytest.approx(8 * M_PER_YD, rel=0.02), "half a depth spread of 16 yd"
    assert loose.gap_above_m == pytest.approx(32 * M_PER_YD, rel=0.02), "two depth spreads"
    assert tight.gap_above_m == pytest.approx(0.13 * 157 * M_PER_YD, rel=0.02)
    assert tight.even_low_m / M_PER_YD == pytest.approx(0.07 * 157, rel=0.01)
    assert short.even_high_m / M_PER_YD == pytest.approx(0.9 * 0.10 * 79.5, rel=0.01), (
        "tighter at the short end"
    )


def test_the_users_own_rules_hold() -> None:
    clubs, fits = [iron("a"), iron("b")], [fit(170, 6), fit(150, 6)]
    assert table(clubs, fits).steps[0].word == "wide"
    assert table(clubs, fits, StepRules(even_low=0.1, even_high=0.14)).steps[0].word == "even"
    assert table(clubs, fits, StepRules(gap_factor=1.0)).steps[0].word == "gap"


@pytest.mark.parametrize(
    "rules", [{"even_low": 0.2}, {"even_low": 0.0}, {"even_high": 0.6}, {"report_from": 0.3}]
)
def test_rules_that_contradict_themselves_are_refused(rules: dict[str, float]) -> None:
    with pytest.raises(InputError):
        StepRules(**rules)


def test_two_irons_of_one_carry_overlap() -> None:
    found = of_kind(table([iron("a"), iron("b", 31)], [fit(151, 8), fit(150, 8)]), "overlap")
    assert len(found) == 1
    assert found[0].clubs == ("a", "b")
    assert found[0].probability is not None
    assert found[0].probability > 0.8
    assert "90 % range" in found[0].words
    assert "flight not measured" in found[0].next_step.lower()
    metres = found[0].in_system("metres")
    assert " m (90 % range" in metres.words
    assert "yd" not in metres.words


@pytest.mark.parametrize(
    ("a", "b", "reason"),
    [
        (iron("a", use=("tee",)), iron("b"), "different uses"),
        (wedge("a", 56, bounce_deg=14.0), wedge("b", 56, bounce_deg=8.0), "bounce"),
        (wedge("a", 56, sole="wide"), wedge("b", 56, sole="narrow"), "soles differ"),
        (Club("a", "driver"), Club("b", "wood"), "for the tee"),
    ],
)
def test_the_same_carry_for_another_job_is_no_overlap(a: Club, b: Club, reason: str) -> None:
    result = table([a, b], [fit(151, 8), fit(150, 8)])
    assert not of_kind(result, "overlap")
    found = of_kind(result, "same carry")
    assert len(found) == 1
    assert reason in found[0].next_step
    assert result.steps[0].same_job == "no"


def test_a_different_flight_is_no_overlap_and_the_same_flight_is() -> None:
    clubs = [iron("a"), iron("b", 31)]
    apart = table(clubs, [fit(151, 8, descent_deg=38), fit(150, 8, descent_deg=46)])
    assert not of_kind(apart, "overlap")
    assert "38° and 46°" in of_kind(apart, "same carry")[0].next_step
    alike = table(clubs, [fit(151, 8, descent_deg=42), fit(150, 8, descent_deg=43)])
    assert "same flight" in of_kind(alike, "overlap")[0].next_step


def test_two_kinds_of_club_need_their_use_told() -> None:
    clubs = [Club("5 wood", "wood"), Club("4 hybrid", "hybrid")]
    result = table(clubs, [fit(181, 8), fit(180, 8)])
    assert result.steps[0].same_job == "not known"
    assert "Say what each is for" in of_kind(result, "same carry")[0].next_step
    told = [replace(club, use=("fairway",)) for club in clubs]
    result = table(told, [fit(181, 8, descent_deg=40), fit(180, 8, descent_deg=41)])
    assert of_kind(result, "overlap")


def test_without_a_bag_two_builds_of_one_number_are_no_overlap() -> None:
    fits = FakeFits({("7i red", "stock"): fit(151, 8), ("7i blue", "stock"): fit(150, 8)})
    result = distances(fits)
    assert not of_kind(result, "overlap")
    assert "two builds of one club" in result.steps[0].same_job_reason


WIDE = [wedge("PW", 46), wedge("56", 56)]


def test_a_gap_names_the_carry_and_loft_that_would_fill_it() -> None:
    clubs = [iron("8i", 38), iron("9i", 42), *WIDE]
    result = table(clubs, [fit(140, 6), fit(128, 6), fit(116, 6), fit(76, 5)])
    gap = of_kind(result, "gap")[0]
    assert gap.clubs == ("PW", "56")
    assert "94 yd" in gap.next_step, "the geometric mean of 116 and 76 evens both steps"
    assert "common practice, no source" in gap.next_step
    assert "Full swings only" in gap.next_step


def test_the_loft_for_a_gap_follows_the_players_own_line() -> None:
    lofts = [26.0, 30.0, 34.0, 38.0, 42.0, 54.0, 58.0]
    carries = [250 - 3.0 * loft for loft in lofts]  # exactly 3 yd a degree
    clubs = [iron(f"c{loft:g}", loft) for loft in lofts]
    result = table(clubs, [fit(carry, 5, 0.3) for carry in carries])
    gap = of_kind(result, "gap")[0]
    assert gap.clubs == ("c42", "c54")
    # sqrt(124 * 88) = 104.5 yd, so (250 - 104.5) / 3 = 48.5 degrees
    # builds of one loft differ by 3 % of carry: 3.1 yd or 1.05 degrees, so 90 % of them need 48.5 +- 1.7
    assert "48.5° (90 % range 47 to 50)" in gap.next_step


@pytest.mark.parametrize("measured", [True, False])
def test_a_gap_that_a_swing_fills_asks_for_no_club(measured: bool) -> None:
    stock = {("PW", "stock"): fit(116, 6), ("56", "stock"): fit(98, 6)}
    if measured:
        stock[("PW", "gripped-down")] = fit(107, 6)
    result = distances(FakeFits(stock), Bag(clubs=tuple(WIDE)))
    assert result.steps[0].word == "gap"
    assert not of_kind(result, "gap")
    filled = of_kind(result, "filled gap")[0]
    assert ("was hit and fills" in filled.words) is measured
    assert ("No club is needed" in filled.next_step) is measured
    assert result.steps[0].filled_by is not None
    assert result.steps[0].filled_by[3] == ("measured" if measured else "predicted")


def test_theil_sen_against_scipy() -> None:
    """scipy.stats.theilslopes is the outside reference (Sen 1968)."""
    rng = np.random.default_rng(3)
    loft = np.array([21.0, 24, 27, 30.5, 34, 38, 42, 46])
    carry = 230 - 3 * loft + rng.normal(0, 4, (20, 8))
    carry[:, 2] -= 30
    slope, start = theil_sen(loft, carry)
    for row, k, m in zip(carry, slope, start, strict=True):
        theirs = stats.theilslopes(row, loft, method="joint")  # type: ignore[call-overload]
        assert k == pytest.approx(theirs.slope, rel=1e-12)
        assert m == pytest.approx(theirs.intercept, rel=1e-12)


def test_an_odd_club_is_off_the_loft_line_and_alone() -> None:
    lofts = [22.0, 25.0, 28.0, 32.0, 36.0, 41.0, 45.0]
    carries = [200 - 3 * (loft - 22) for loft in lofts]
    carries[3] -= 14
    result = table([iron(f"c{loft:g}", loft) for loft in lofts], [fit(c, 7) for c in carries])
    assert result.loft_line is not None
    assert result.loft_line.carry_m_per_deg.value / M_PER_YD == pytest.approx(3.0, abs=0.25)
    found = of_kind(result, "off the loft line")
    assert [f.clubs for f in found] == [("c32",)]
    assert "less than its loft suggests" in found[0].words
    assert found[0].next_step


def test_too_few_clubs_or_lofts_too_alike_give_no_line() -> None:
    assert table([iron("a"), iron("b", 34)], [fit(160, 7), fit(150, 7)]).loft_line is None
    clubs = [iron(f"c{i}", 30 + i) for i in range(6)]
    assert table(clubs, [fit(160 - 3 * i, 7) for i in range(6)]).loft_line is None


def test_a_bent_wedge_shows_loft_and_bounce() -> None:
    """A degree of loft on a wedge takes about a degree of bounce: common practice, no source."""
    strong = wedge("GW", 47.5, stamped_loft_deg=50.0, bounce_deg=9.0)
    weak = wedge("SW", 57.0, stamped_loft_deg=55.0, bounce_deg=10.0)
    found = of_kind(table([strong, weak], [fit(110, 6), fit(96, 6)]), "bent wedge")
    assert [f.clubs for f in found] == [("GW",), ("SW",)]
    assert "2.5° strong" in found[0].words
    assert "about 6.5° is left" in found[0].words
    assert "about 12° is there now" in found[1].words
    assert all("common practice, no source" in f.words for f in found)


def test_wedges_carry_bounce_sole_and_groove_age_and_ask_for_partial_swings() -> None:
    full = wedge("SW", 56, bounce_deg=12.0, sole="wide", groove_age_months=20.0)
    bare = wedge("GW", 50)
    fits = {("SW", "stock"): fit(90, 6), ("GW", "stock"): fit(104, 6)}
    fits[("SW", "three-quarter")] = fits[("SW", "half")] = fit(70, 6)
    result = distances(FakeFits(fits), Bag(clubs=(bare, full)))
    row = {r.club: r for r in result.clubs}["SW"]
    assert (row.bounce_deg, row.sole, row.groove_age_months) == (12.0, "wide", 20.0)
    soles = of_kind(result, "wedge soles")
    assert "bounce 12°, wide sole, grooves 20 months old" in soles[0].words
    assert soles[1].clubs == ("GW",)
    assert soles[1].next_step.startswith("Add bounce, sole and the age of the grooves:"), "no names of fields"
    swings = of_kind(result, "wedge swings")
    assert swings[0].clubs == ("GW",), "the sand wedge's partial swings were hit"
    assert "No choice of wedges rests on these alone" in swings[0].words


def test_a_club_never_hit_is_predicted_wide_and_marked() -> None:
    clubs = (iron("6i", 30), iron("7i", 34), iron("8i", 38))
    fits = FakeFits({("6i", "stock"): fit(162, 8), ("8i", "stock"): fit(138, 8)})
    result = distances(fits, Bag(clubs=clubs))
    row = {r.club: r for r in result.clubs}["7i"]
    assert (row.used, row.n_shots) == ("predicted", 0)
    assert row.carry_m.high - row.carry_m.low > 3 * (
        result.clubs[0].carry_m.high - result.clubs[0].carry_m.low
    )
    assert of_kind(result, "not hit")[0].clubs == ("7i",)


def test_candidates_are_listed_but_make_no_steps_and_strangers_are_named() -> None:
    clubs = (iron("a"), iron("b"), iron("new", status="candidate"), iron("rack", status="spare"))
    fits = FakeFits(
        {(n, "stock"): fit(c, 8) for n, c in (("a", 160), ("b", 148), ("new", 159), ("7i lent", 150))}
    )
    result = distances(fits, Bag(clubs=clubs))
    assert [(s.longer, s.shorter) for s in result.steps] == [("a", "b")]
    assert {r.club: r.status for r in result.clubs} == {
        "a": "carried", "b": "carried", "new": "candidate", "7i lent": "not in the bag",
    }  # fmt: skip
    (stranger,) = of_kind(result, "not in the bag")
    assert stranger.clubs == ("7i lent",)
    assert "other spellings" in stranger.next_step
    assert not set("`[_") & set(stranger.words + stranger.next_step), "no names of fields"


def test_slots_to_spare_point_at_the_widest_open_gap_or_at_nothing() -> None:
    even = table([iron("a"), iron("b")], [fit(160, 8), fit(148, 8)])
    assert even.slots_free == 12
    assert "No gap asks for a club" in of_kind(even, "slots to spare")[0].next_step
    gap = table([iron("a"), iron("b")], [fit(190, 6), fit(120, 6)])
    assert "between a and b" in of_kind(gap, "slots to spare")[0].next_step
    small = distances(
        FakeFits({("a", "stock"): fit(160, 8)}), Bag(Player(club_limit=1), (iron("a"), iron("b")))
    )
    assert small.slots_free == -1
    assert not of_kind(small, "slots to spare")


def test_nothing_hit_and_one_club_hit_are_no_error() -> None:
    assert distances(FakeFits({})).clubs == ()
    one = distances(FakeFits({("7i", "stock"): fit(150, 8)}))
    assert len(one.clubs) == 1
    assert one.steps == ()
    assert one.clubs[0].kind == "iron"


def test_the_same_input_gives_the_same_table() -> None:
    clubs, fits = [iron("a"), *WIDE], [fit(140, 8), fit(116, 6), fit(80, 6)]
    assert table(clubs, fits) == table(clubs, fits)
