"""Flights in the papers: gathered, drawn, tabled, and the carries in other air."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from bagwright.air import STANDARD, air
from bagwright.dispersion.fit import fit_dispersion
from bagwright.estimate import Z90, Estimate
from bagwright.flight.fly import fly
from bagwright.flight.launch import Launch, Scale
from bagwright.report.air_panels import air_panels
from bagwright.report.build import worth_notes
from bagwright.report.charts.airs import air_chart
from bagwright.report.charts.sideview import figures_of, sideview_chart
from bagwright.report.gather_air import PLACES, air_card, elsewhere, share_seen
from bagwright.report.gather_build import with_worth
from bagwright.report.gather_flight import Flights, gather_flights
from bagwright.report.model import AirCard, BuildClub, CarryRow, FlightRow, ReportInput
from bagwright.report.pdf import bag_flights, report_data, trial_flights
from bagwright.report.tables_flight import (
    GREEN_DEPTH_M,
    air_table,
    flight_table,
    launch_note,
    picture_note,
    strike_table,
)
from bagwright.report.theme import sign
from bagwright.report.words import Show, held, part_of
from bagwright.restate.doubt import CHANGE_SD, CHANGE_SD_UNSEEN, share_of
from bagwright.tasks.papers import gather_all
from bagwright.tasks.source import Loaded, Source, fit, load
from bagwright.trial.flown import level_to
from bagwright.trial.said import Said, said_of
from bagwright.turf.hold import DEPTH_M
from tests.unit.report import sample

NB = "\u00a0"
DEMO = Path(__file__).parents[3] / "src" / "bagwright" / "demo" / "bag.toml"


@cache
def loaded() -> Loaded:
    return load(Source(bag=DEMO, answers={"figures": "as measured", "spin": "measured"}))


@cache
def gathered() -> ReportInput:
    return gather_all(loaded(), fit(loaded()), None, "yards")


@cache
def flights() -> Flights:
    one = loaded()
    return gather_flights(one.table, fit(one), one.bag, None, said_of(one.result.conditions))


def _values(spec: Any) -> list[dict[str, Any]]:
    if isinstance(spec, dict):
        own = spec.get("data", {}).get("values", []) if isinstance(spec.get("data"), dict) else []
        return [*own, *(datum for item in spec.values() for datum in _values(item))]
    return [datum for item in spec for datum in _values(item)] if isinstance(spec, list) else []


# --- gathered -------------------------------------------------------------------------------------------


def test_every_club_that_was_hit_has_a_flight_that_ends_at_its_carry() -> None:
    rows = {row.club: row for row in gathered().flights}
    carries = {row.club: row for row in gathered().clubs if row.swing == "stock" and row.measured}
    assert set(carries) <= set(rows)
    for name, row in rows.items():
        assert row.carry_m is not None
        assert row.path[-1][0] == pytest.approx(row.carry_m.value, abs=0.02), name
        assert row.carry_m == carries[name].carry_m if name in carries else True


def test_candidates_are_no_part_of_the_bags_picture() -> None:
    assert {"50 cavity", "51 blade"} <= {row.club for row in gathered().flights}
    assert not {"50 cavity", "51 blade"} & {row.club for row in bag_flights(gathered())}
    carries = [row.carry_m.value for row in bag_flights(gathered()) if row.carry_m]
    assert carries == sorted(carries, reverse=True)


def test_the_notes_name_the_air_that_was_said() -> None:
    assert "12 °C and 17 °C" in gathered().flight_notes[0]
    assert "nobody said" not in gathered().flight_notes[0]


def test_a_bag_of_which_only_carries_are_known_is_told_why_nothing_is_drawn() -> None:
    one = loaded()
    bare = {name: column for name, column in one.table.measures.items() if name in ("carry_m", "offline_m")}
    table = replace(one.table, measures=bare)
    found = gather_flights(table, fit_dispersion(table, one.player, one.bag), one.bag, None, Said())
    assert found.rows == ()
    assert "No flight for" in found.notes[-1]
    assert "Driver" in found.notes[-1]
    assert "Air" not in " ".join(found.notes)
    report = replace(sample.report(), flights=(), flight_notes=found.notes, air_card=None)
    text = str(report_data(report, datetime.date(2026, 5, 9), "a4", "yards")["flight_notes"])
    assert "nothing but carry and side was measured" in text


def test_adjusted_figures_start_from_standard_air_and_say_so() -> None:
    one = loaded()
    said = Said(adjusted=frozenset(one.result.conditions))
    found = gather_flights(one.table, fit(one), one.bag, None, said)
    assert all(flight.air == STANDARD for flight in found.flown.values())
    assert "the unit adjusted its figures" in found.notes[0]


def test_a_candidate_without_a_flight_leaves_the_others_their_signs() -> None:
    report = sample.report()
    assert all(trial_flights(report))
    short = tuple(row for row in report.flights if row.club != sample.NAMES[1])
    found = trial_flights(replace(report, flights=short))
    assert [row is not None for row in found] == [True, False, True]
    spec = sideview_chart(found, Show("yards"), trial=True).spec
    texts = [datum["text"] for datum in _values(spec) if str(datum.get("text", ""))[1:3] == "  "]
    assert list(dict.fromkeys(texts)) == ["A  Gap wedge", "C  51 blade"]
    shapes = next(layer for layer in spec["layer"] if "shape" in layer["encoding"])["encoding"]["shape"]
    assert shapes["scale"]["range"] == [sign(0).shape, sign(2).shape]


# --- other air ------------------------------------------------------------------------------------------


def card() -> AirCard:
    found = gathered().air_card
    assert found is not None
    return found


def test_the_card_is_the_same_strike_flown_in_the_other_air() -> None:
    labels = [column.label for column in card().columns]
    assert labels == ["0 °C", "10 °C", "20 °C", "1500 m", "head", "tail", "cross"]
    row = next(row for row in card().rows if row.club == "7 iron")
    one = flights().flown["7 iron"]
    there = fly(one.launch, air(temperature_k=273.15), scale=Scale(one.drag_factor, one.lift_factor))
    cold = row.carry_m[0]
    assert cold is not None
    assert cold.value == pytest.approx(there.carry_m, abs=0.01)
    assert cold.low < one.carry_m.low - one.carry_m.value + cold.value + 0.3


def test_every_club_flies_shorter_in_the_cold_and_into_the_wind() -> None:
    for row in card().rows:
        changes = dict(zip([column.label for column in card().columns], row.change_m, strict=True))
        values = {name: change.value for name, change in changes.items() if change is not None}
        assert values["0 °C"] < values["10 °C"] < values["20 °C"]
        assert values["head"] < -values["tail"] < 0.0 < values["1500 m"]
        sides = dict(zip([column.label for column in card().columns], row.side_m, strict=True))
        assert sides["head"] is None
        assert sides["cross"] is not None
        assert sides["cross"].value > 3.0


def test_irons_gain_a_larger_share_in_altitude_than_the_driver() -> None:
    """docs/flight.md: a mile of altitude gives a driver some 5 %, a mid iron 9 to 10 % (sources there)."""
    high = [column.label for column in card().columns].index("1500 m")
    share = {}
    for row in card().rows:
        change = row.change_m[high]
        assert change is not None
        assert row.today_m is not None
        share[row.club] = change.value / row.today_m.value
    # 1500 m is 0.93 of a mile; slow drivers gain less (3.0 % there).
    assert 0.02 < share["Driver"] < 0.055
    assert 0.055 < share["7 iron"] < 0.10


def test_a_change_carries_its_own_doubt() -> None:
    half = 1.6449 * CHANGE_SD
    for row in card().rows:
        for carry, change in zip(row.carry_m, row.change_m, strict=True):
            assert change is not None
            assert carry is not None
            assert change.high - change.value == pytest.approx(half * abs(change.value), rel=1e-3)
            assert carry.high > carry.value > carry.low


def test_a_club_without_measured_strikes_is_named_not_guessed() -> None:
    extra = (*gathered().clubs, CarryRow("2 iron", kind="iron", carry_m=Estimate(170.0, 160.0, 180.0)))
    found = air_card(flights().flown, extra)
    assert found is not None
    assert "2 iron" not in [row.club for row in found.rows]
    assert any("2 iron" in text for text in found.said)
    assert air_card({}, gathered().clubs) is None


DRIVES = ((59, 12.5, 2800), (57, 12.2, 3500))
IRONS = ((50, 14.6, 5000), (46.5, 18.5, 6100), (41, 23.6, 7800), (33, 32, 9000))
STRIKES = (*DRIVES, *IRONS)
OTHERS = ("pooled", "bearman-harvey-1976", "indoor-range-2001", "smits-smith-1994-no-re")


@pytest.mark.parametrize(("height_seen", "sd"), [(True, CHANGE_SD), (False, CHANGE_SD_UNSEEN)])
def test_the_doubt_of_a_change_holds_against_other_published_laws(height_seen: bool, sd: float) -> None:
    """Each other law is the truth in turn: nine changes in ten must lie inside the range that is shown."""
    here = air(temperature_k=288.15)
    settings = [place for place in PLACES if place.label in ("0 °C", "1500 m", "head", "tail")]
    inside = []
    for speed, up, spin in STRIKES:
        strike = Launch(speed, math.radians(up), spin)
        for law in OTHERS:
            truth = fly(strike, here, law=law, tolerance=1e-6)
            height = truth.apex_m if height_seen else fly(strike, here, tolerance=1e-6).apex_m
            scale = level_to(strike, here, truth.carry_m, height)
            for setting in settings:
                there, wind = elsewhere(here, setting)
                true = fly(strike, there, wind, law=law, tolerance=1e-6).carry_m - truth.carry_m
                said = fly(strike, there, wind, scale=scale, tolerance=1e-6).carry_m - truth.carry_m
                inside.append(abs(true - said) <= 1.6449 * sd * abs(said))
    assert sum(inside) / len(inside) >= 0.90


# --- pictures -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("system", ["yards", "metres"])
def test_a_flights_heights_and_distances_are_drawn_to_the_stated_scale(system: Any) -> None:
    show = Show(system)
    rows = sample.flights(13, sample.NAMES[:3])
    for chosen, trial in ((rows[-3:], True), (rows, False)):
        spec = sideview_chart(chosen, show, trial=trial).spec
        x = next(layer["encoding"]["x"] for layer in spec["layer"] if layer["mark"].get("type") == "line")
        y = next(layer["encoding"]["y"] for layer in spec["layer"] if layer["mark"].get("type") == "line")
        across = spec["width"] / (x["scale"]["domain"][1] - x["scale"]["domain"][0])
        up = spec["height"] / (y["scale"]["domain"][1] - y["scale"]["domain"][0])
        assert across == pytest.approx(up, rel=0.01)
        drawn = max(datum["y"] for datum in _values(spec) if "n" in datum)
        true = show.inside(max(z for row in chosen for _, z in row.path))
        taller = round(drawn / true)
        assert drawn == pytest.approx(taller * true)
        words = "equal scales" if taller == 1 else f"heights drawn {taller} times as tall"
        assert words in x["axis"]["title"]
        assert words in sideview_chart(chosen, show, trial=trial).alt


def test_the_side_view_says_every_flight_in_words_with_ranges() -> None:
    rows = sample.flights(2, sample.NAMES[:1])
    alt = sideview_chart(rows, Show("yards"), trial=False).alt.replace(NB, " ")
    # By hand: 21 m are 69 ft, ± 1.2 m are 65 to 73; 0.85 rad is 49°.
    assert "Gap wedge: carries 100 yd (94 to 105), 69 ft (65 to 73) high, lands at 49° (47 to 50)" in alt
    assert "stops on a normal green 71 % (52 to 86)" in alt


def test_nothing_to_draw_is_said() -> None:
    empty = sideview_chart((), Show("yards"), trial=False)
    assert "No flight can be drawn" in empty.alt


def test_clubs_are_told_apart_without_colour() -> None:
    spec = sideview_chart(sample.flights(0, sample.NAMES[:6]), Show("yards"), trial=True).spec
    line = next(layer for layer in spec["layer"] if layer["mark"].get("type") == "line")
    dashes = [tuple(dash) for dash in line["encoding"]["strokeDash"]["scale"]["range"]]
    assert len(set(dashes)) == 6


def test_the_air_chart_says_every_change() -> None:
    chart = air_chart(sample.air_card(2), Show("yards"))
    # By hand: 8 % of 214 yd is 17 yd, with ± 1.
    assert "1500 m +17 (+16 to +18)" in chart.alt
    assert {column.group for column in sample.air_card(2).columns} == {"temperature", "altitude", "wind"}


def test_what_was_not_measured_widens_the_change() -> None:
    one = flights().flown["7 iron"]
    assert share_of(share_seen(one)) == pytest.approx(Z90 * CHANGE_SD)
    assert share_of(share_seen(replace(one, inferred=("spin",)))) == pytest.approx(Z90 * CHANGE_SD_UNSEEN)
    assert share_of(share_seen(replace(one, worked_out=("apex",)))) == pytest.approx(Z90 * CHANGE_SD_UNSEEN)


# --- tables ---------------------------------------------------------------------------------------------


def test_inferred_figures_are_marked_and_explained() -> None:
    show = Show("yards")
    rows = [sample.flight("5 iron", "iron", 160, guessed=("spin",)), sample.flight("6 iron", "iron", 150)]
    _, table, _ = flight_table(rows, (), show)
    assert table[0][3].endswith("*")
    assert not table[1][3].endswith("*")
    assert "* not measured" in launch_note(rows)
    assert "* not measured" not in launch_note(rows[1:])
    worked_out = replace(rows[1], shown_as_measured=())
    height, descent, _, _ = figures_of(worked_out, show)
    assert height.startswith("≈")
    assert descent.startswith("≈")
    assert not figures_of(rows[1], show)[0].startswith("≈")
    assert "≈ worked out" in picture_note([worked_out], show)
    assert "≈ worked out" not in picture_note([rows[1]], show)


def test_every_figure_of_a_flight_stands_with_its_range() -> None:
    _, table, _ = strike_table(sample.candidates(1), sample.flights(0, sample.NAMES[:1]), Show("metres"))
    for text in table[0][1:]:
        assert "to" in text.replace(NB, " ").split(), text


def test_the_green_of_the_papers_is_the_turf_models() -> None:
    assert GREEN_DEPTH_M == DEPTH_M
    assert "within 11" in picture_note([sample.flight("x", "iron", 150)], Show("yards"))


def test_the_note_explains_brackets_only_where_a_chance_has_them() -> None:
    row = sample.flight("x", "iron", 150)
    sure_of_it = replace(row, holds=Estimate(0.99, 0.98, 1.0))
    assert "in brackets: on a firm" in picture_note([sure_of_it, row], Show("yards"))
    assert "in brackets" not in picture_note([sure_of_it, replace(row, holds=None)], Show("yards"))


@pytest.mark.parametrize(
    ("estimate", "said"),
    [
        (Estimate(0.72, 0.40, 0.92), "72 % (40 to 92)"),
        (Estimate(0.999, 0.99, 1.0), ">97 %"),
        (Estimate(0.0, 0.0, 0.01), "<3 %"),
        (Estimate(0.98, 0.5, 1.0), ">97 % (50 to >97)"),
        (None, "–"),
    ],
)
def test_a_chance_is_never_shown_surer_than_a_bay_can_be(estimate: Estimate | None, said: str) -> None:
    assert held(estimate).replace(NB, " ") == said


def test_half_width_is_rounded_up() -> None:
    assert part_of(Estimate(72.0, 68.9, 74.0)) == "72 ±4"
    assert part_of(Estimate(0.4, 0.4, 0.4)) == "0 ±1"


def test_a_total_has_the_doubt_of_carry_and_of_run() -> None:
    row = FlightRow("x", carry_m=Estimate(100.0, 97.0, 103.0), run_m=Estimate(8.0, 4.0, 14.0))
    # By hand: 3-4-5, and sqrt(9 + 36) = 6.708.
    assert row.total_m is not None
    assert row.total_m.value == 108.0
    assert row.total_m.low == pytest.approx(103.0)
    assert row.total_m.high == pytest.approx(114.708, abs=0.001)
    assert FlightRow("x", carry_m=Estimate(100.0, 97.0, 103.0)).total_m is None
    _, table, _ = flight_table([row], (), Show("metres"))
    assert table[0][-1].replace(NB, " ") == "≈108 (103 to 115)"


def test_the_air_table_shows_cross_wind_sideways() -> None:
    heads, rows, widths = air_table(sample.air_card(3), Show("yards"))
    assert len(heads) == len(rows[0]) == len(widths)
    assert heads[-1] == "cross: sideways with the wind, yd"
    assert rows[0][-1].replace(NB, " ") == "13 ±2"
    assert air_table(None, Show("yards")) == ([], [], [])


# --- second card ----------------------------------------------------------------------------------------


def test_the_second_card_has_at_most_four_settings_a_panel() -> None:
    names = [row.club for row in sample.air_card(13).rows]
    found = air_panels(sample.report(), names, Show("yards"))
    assert [len(panel["heads"]) for panel in found["panels"]] == [4, 3]
    assert found["panels"][0]["title"] == "Cold and height"
    assert found["panels"][1]["title"] == "Wind"
    driver = found["panels"][1]["rows"][0]
    assert driver[3]["carry"] == "↔13"
    assert found["landing"][0][:1] == ["Driver"]


def test_without_flights_and_other_air_there_is_no_second_card() -> None:
    bare = replace(sample.report(), flights=(), air_card=None)
    assert air_panels(bare, ["Driver"], Show("yards")) == {}
    only_landing = air_panels(replace(sample.report(), air_card=None), ["Driver"], Show("yards"))
    assert only_landing["panels"] == []
    assert only_landing["landing"]


def test_a_flight_without_run_or_green_shows_dashes() -> None:
    bare = FlightRow("Driver", carry_m=Estimate(180.0, 175.0, 185.0))
    found = air_panels(replace(sample.report(), flights=(bare,), air_card=None), ["Driver"], Show("yards"))
    assert found["landing"] == [["Driver", {"carry": "–", "half": ""}, "–", "–", "–"]]


# --- build sheet ----------------------------------------------------------------------------------------


def test_a_degree_of_loft_is_worth_what_the_players_own_strikes_give() -> None:
    bag = loaded().bag
    assert bag is not None
    (one,) = with_worth((BuildClub("Gap wedge", "wedge", loft_deg=47.5),), flights().flown, bag)
    assert one.per_degree_m is not None
    assert one.per_half_inch_m is not None
    # Common practice, no source: a degree is worth 2 to 4 yards, less for slow swings.
    assert 1.0 < one.per_degree_m.value / sample.YD < 4.0
    assert one.per_degree_m.low < one.per_degree_m.value < one.per_degree_m.high
    assert one.per_half_inch_m.low == pytest.approx(0.0, abs=1e-6)
    assert one.strike_mps == flights().flown["Gap wedge"].ball_speed_mps


def test_without_a_measured_ball_speed_nothing_is_said_of_loft() -> None:
    bag = loaded().bag
    assert bag is not None
    guessed = replace(flights().flown["Gap wedge"], inferred=("ball speed",))
    club = BuildClub("Gap wedge", "wedge", loft_deg=47.5)
    assert with_worth((club,), {"Gap wedge": guessed}, bag) == (club,)
    assert with_worth((club,), {}, bag) == (club,)
    assert worth_notes(club, Show("yards")) == []


def test_the_note_counts_degrees_with_their_sign() -> None:
    club = BuildClub(
        "50 cavity", "wedge", loft_deg=50.0, proposed_loft_deg=51.5, strike_mps=Estimate(35.0, 34.5, 35.5),
        per_degree_m=Estimate(2.0, 1.6, 2.6), per_half_inch_m=Estimate(0.5, 0.0, 1.0),
    )  # fmt: skip
    (said,) = worth_notes(club, Show("metres"))
    said = said.replace(NB, " ")
    assert "a degree less loft carries 2.0 metres farther (1.6 to 2.6)" in said
    # 1.5 degrees more loft: 3.0 m shorter, 2.4 to 3.9.
    assert "1.5° more loft: carries 3.0 metres shorter (2.4 to 3.9)" in said
    assert "Half an inch more length: carries 0.5 metres farther (0.0 to 1.0)" in said
    backwards = replace(club, per_degree_m=Estimate(-1.0, -2.0, -0.2), proposed_loft_deg=None)
    assert (
        "a degree less loft carries 1.0 metres shorter (0.2 to 2.0)"
        in worth_notes(backwards, Show("metres"))[0]
    )


def test_paths_leave_at_the_launch_angle() -> None:
    row = next(row for row in gathered().flights if row.club == "7 iron")
    assert row.launch_rad is not None
    x, z = row.path[1]
    assert math.atan2(z, x) == pytest.approx(row.launch_rad.value, abs=math.radians(1.5))
