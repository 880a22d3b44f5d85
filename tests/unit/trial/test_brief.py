"""Briefs: what a slot must do, and the rack ranked."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.dispersion.fit import fit_dispersion
from bagwright.errors import InputError
from bagwright.estimate import Estimate
from bagwright.trial.brief import Brief, carry_band, write_brief
from bagwright.trial.place import Neighbour, Spot, chance_between, difference, find_spot, sd_of, stand_ins
from tests.unit.trial.visits import shots, table, wedge_bag

HIT = table(shots({"PW": (112.0, 0.0), "54 wedge": (86.0, 0.0), "Gap": (100.0, 0.0)}, 8))


def brief(bag: Bag | None = None, slot: str = "Gap", **said: object) -> Brief:
    bag = bag if bag is not None else wedge_bag()
    return write_brief(slot, bag, fit_dispersion(HIT, bag.player, bag), **said)  # type: ignore[arg-type]


def test_band_lies_between_the_neighbours() -> None:
    found = brief()
    assert found.longer is not None
    assert found.shorter is not None
    assert (found.longer.club, found.shorter.club) == ("PW", "54 wedge")
    low, high = found.shorter.carry_m.value, found.longer.carry_m.value
    assert found.spot_m == pytest.approx((low + high) / 2)
    assert found.carry_low_m == pytest.approx(low + (high - low) / 4)
    assert found.carry_high_m == pytest.approx(high - (high - low) / 4)
    assert found.longer.carry_m.low < high < found.longer.carry_m.high
    assert found.descent_rad == pytest.approx(0.785, abs=0.001)
    assert found.lies == ("fairway", "rough", "sand")
    assert found.side_tolerance_m is not None
    assert 5.0 < found.side_tolerance_m < 25.0


def test_rack_is_ranked_and_the_present_club_stays() -> None:
    bag = wedge_bag()
    odd = Club("50 L", "wedge", "50", "spare", Build(loft_deg=60.0))
    found = brief(replace(bag, clubs=(*bag.clubs, odd)))
    names = [one.club for one in found.candidates]
    assert names[0] == "Gap"
    assert "50 X" in names
    assert [one.club for one in found.not_worth_hitting] == ["50 L"]
    assert "short of the band" in found.not_worth_hitting[0].reason
    chances = [one.probability for one in found.candidates]
    assert chances == sorted(chances, reverse=True)
    assert found.candidates[0].measured
    assert "estimated" in next(one.reason for one in found.candidates if one.club == "50 X")
    far = brief(spot_m=70.0)
    assert "Gap" in [one.club for one in far.candidates]


def test_two_builds_with_the_same_chance_are_no_winner_and_a_loser() -> None:
    """Two builds alike but for their name cannot be told apart before a ball: neither is named alone."""
    bag = wedge_bag()
    twins = [Club(name, "wedge", "50", "candidate", Build(loft_deg=50.0)) for name in ("Twin A", "Twin B")]
    others = tuple(club for club in bag.clubs if club.name in ("PW", "54 wedge"))
    found = brief(replace(bag, clubs=(*others, *twins)), "Twin A,Twin B")
    assert "Nobody is ahead: Twin A" in found.sentence
    assert "Twin B" in found.sentence
    assert "Most promising" not in found.sentence
    far = Club("Far", "wedge", "50", "candidate", Build(loft_deg=60.0))
    assert (
        "Most promising: Twin A" in brief(replace(bag, clubs=(*others, twins[0], far)), "Twin A,Far").sentence
    )


def test_the_users_word_replaces_the_bags() -> None:
    found = brief(spot_m=97.0, descent_rad=0.7, lies=["rough"], side_tolerance_m=9.0)
    assert (found.spot_m, found.descent_rad, found.lies, found.side_tolerance_m) == (
        97.0,
        0.7,
        ("rough",),
        9.0,
    )
    assert found.spot_from == "the brief's carry"


def test_a_build_that_is_not_for_the_lie_cannot_meet_the_brief() -> None:
    bag = wedge_bag()
    clubs = tuple(replace(club, use=("fairway",)) if club.name == "50 X" else club for club in bag.clubs)
    found = brief(Bag(bag.player, clubs), lies=["sand"])
    build = next(one for one in (*found.candidates, *found.not_worth_hitting) if one.club == "50 X")
    assert build.probability == 0.0
    assert "not for sand" in build.reason


def test_before_any_ball_all_is_estimated_and_wide() -> None:
    found = write_brief("Gap", wedge_bag(injury="back"))
    assert not any(one.measured for one in found.candidates)
    assert found.longer is not None
    assert found.longer.carry_m.high - found.longer.carry_m.low > 15.0
    assert found.cautions[0].startswith("Injury note: back")
    assert any("estimated from loft" in text for text in found.cautions)


def test_slow_swings_are_not_asked_for_what_they_cannot_reach() -> None:
    assert brief(wedge_bag(driver_speed_mps=30.0)).descent_rad == pytest.approx(0.663, abs=0.001)


def test_driver_slot_wants_no_descent_and_hangs_on_the_present_club() -> None:
    clubs = (
        Club("Driver", "driver", build=Build(loft_deg=10.5)),
        Club("3 wood", "wood", "3", build=Build(loft_deg=15.0)),
        Club("Driver B", "driver", status="candidate", build=Build(loft_deg=9.0)),
    )
    found = write_brief("Driver", Bag(Player(driver_speed_mps=42.0), clubs))
    assert found.descent_rad is None
    assert found.longer is None
    assert found.spot_from == "the carry of Driver, now in the slot"
    assert {one.club for one in found.candidates} == {"Driver", "Driver B"}


@pytest.mark.parametrize(
    "wrong",
    [
        {"lies": ["moon"]},
        {"descent_rad": 2.0},
        {"side_tolerance_m": -1.0},
        {"spot_m": float("nan")},
        {"slot": "zzz"},
    ],
)
def test_what_cannot_be_used_is_an_error(wrong: dict[str, object]) -> None:
    with pytest.raises(InputError):
        brief(**wrong)  # type: ignore[arg-type]


def test_band_with_a_neighbour_missing_and_with_a_spot_of_ones_own() -> None:
    club = Club("PW", "wedge")
    longer = Neighbour(club, Estimate(110.0, 105.0, 115.0), True)
    shorter = Neighbour(club, Estimate(90.0, 85.0, 95.0), True)
    assert carry_band(Spot(100.0, "", longer, None)) == (96.0, 104.0)
    assert carry_band(Spot(100.0, "", longer, shorter)) == (95.0, 105.0)
    assert carry_band(Spot(108.0, "", longer, shorter)) == (95.0, 108.0)


def test_normal_arithmetic() -> None:
    """3-4-5: ranges of independent normals add in squares; 68.27 % lie within one sd (any normal table)."""
    z = 1.6448536269514722
    one, other = Estimate(10.0, 10.0 - 3 * z, 10.0 + 3 * z), Estimate(4.0, 4.0 - 4 * z, 4.0 + 4 * z)
    assert sd_of(difference(one, other)) == pytest.approx(5.0)
    assert difference(one, other).value == 6.0
    assert chance_between(one, 7.0, 13.0) == pytest.approx(0.6827, abs=1e-4)
    assert chance_between(Estimate(5.0, 5.0, 5.0), 4.0, 6.0) == 1.0


def test_stand_ins_are_the_neighbours_with_other_swings() -> None:
    bag = wedge_bag()
    gripped = shots({"PW": (100.0, 0.0)}, 6, start=40, swing="gripped-down")
    fits = fit_dispersion(table(list(HIT), gripped), bag.player, bag)
    spot = find_spot(bag.find("Gap"), [100.0], bag, fits, {"Gap"})
    found = {(one.club, one.swing): one for one in stand_ins(spot, fits)}
    assert set(found) == {("PW", "gripped-down"), ("PW", "three-quarter"), ("54 wedge", "flat-out")}
    gripped_down = found["PW", "gripped-down"]
    assert gripped_down.measured
    assert not found["PW", "three-quarter"].measured
    assert gripped_down.carry_m == fits["PW", "gripped-down"].carry_m
    assert gripped_down.probability > found["54 wedge", "flat-out"].probability


def test_a_club_that_carries_like_its_neighbour_still_lies_between_its_neighbours() -> None:
    """Gap (50 degrees) flies as far as PW (45): the slot is still the one between PW and the 54."""
    bag = wedge_bag()
    hit = table(shots({"PW": (110.0, 0.0), "54 wedge": (86.0, 0.0), "Gap": (113.0, 0.0)}, 10))
    fits = fit_dispersion(hit, bag.player, bag)
    spot = find_spot(bag.find("Gap"), [113.0], bag, fits, {"Gap"})
    assert spot.source == "midway between PW and 54 wedge"
    assert spot.carry_m == pytest.approx(98.0, abs=4.0)
    given = find_spot(bag.find("Gap"), [113.0], bag, fits, {"Gap"}, spot_m=80.0)
    assert given.longer is not None
    assert given.longer.club.name == "54 wedge"


def test_a_measured_descent_that_is_too_flat_lowers_the_chance() -> None:
    bag = wedge_bag()

    def chance(descent_rad: float) -> float:
        flown = [
            replace(s, descent_rad=descent_rad + 0.01 * (s.order % 3)) for s in shots({"Gap": (99.0, 0.0)}, 8)
        ]
        fits = fit_dispersion(table(list(HIT)[:16], flown), bag.player, bag)
        found = write_brief("Gap", bag, fits, spot_m=99.0)
        return next(one.probability for one in found.candidates if one.club == "Gap")

    assert chance(0.9) > 0.3
    assert chance(0.6) < 0.01
