"""The bag check: what breaks a limit, what only could, and what nobody told it."""

from dataclasses import replace

import pytest

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.bag.rules import check

IN = 0.0254
IRON = Club("7 iron", "iron", "7", build=Build(loft_deg=32.0, length_m=37 * IN))
DRIVER = Club("Driver", "driver", build=Build(loft_deg=10.5, length_m=45 * IN), head_volume_cm3=460.0)
PUTTER = Club("Putter", "putter", build=Build(loft_deg=3.0, length_m=34 * IN))


def bag_of(n: int, **player: int) -> Bag:
    irons = tuple(replace(IRON, name=f"iron {i}") for i in range(n - 1))
    return Bag(Player(**player), (*irons, PUTTER))  # type: ignore[arg-type]


def test_fourteen_clubs_are_within_and_fifteen_are_not() -> None:
    assert check(bag_of(14)).within_limits
    result = check(bag_of(15))
    assert not result.within_limits
    breach = result.findings[0]
    assert (breach.kind, breach.value, breach.limit) == ("breach", "15", "at most 14")
    assert "4.1b(1)" in breach.source
    for words in ("two strokes", "at most four", "match play", "at most two", "from memory"):
        assert words in breach.words
    assert breach.next_step


def test_spare_candidate_and_former_clubs_are_not_counted() -> None:
    bag = bag_of(14)
    others = tuple(replace(IRON, name=s, status=s) for s in ("spare", "candidate", "former"))
    assert check(Bag(clubs=(*bag.clubs, *others))).within_limits


def test_the_players_own_smaller_limit_is_a_wish_not_a_rule() -> None:
    result = check(bag_of(12, club_limit=10))
    assert result.within_limits
    own = [f for f in result.findings if f.kind == "own limit"]
    assert len(own) == 1
    assert own[0].value == "12"
    assert own[0].next_step == "Leave 2 out, or raise the player's own limit.", "no names of fields"
    assert not [f for f in check(bag_of(10, club_limit=10)).findings if f.kind == "own limit"]


@pytest.mark.parametrize(
    ("club", "within"),
    [
        (replace(DRIVER, build=replace(DRIVER.build, length_m=48 * IN)), True),
        (replace(DRIVER, build=replace(DRIVER.build, length_m=1.2192)), True),
        (replace(DRIVER, build=replace(DRIVER.build, length_m=48.1 * IN)), False),
        (replace(IRON, build=replace(IRON.build, length_m=17.9 * IN)), False),
        (replace(PUTTER, build=replace(PUTTER.build, length_m=52 * IN)), True),
        (replace(PUTTER, build=replace(PUTTER.build, length_m=17 * IN)), False),
        (replace(PUTTER, build=replace(PUTTER.build, loft_deg=10.0)), True),
        (replace(PUTTER, build=replace(PUTTER.build, loft_deg=10.5)), False),
        (replace(PUTTER, build=replace(PUTTER.build, loft_deg=-15.5)), False),
        (replace(DRIVER, head_volume_cm3=470.0), True),
        (replace(DRIVER, head_volume_cm3=471.0), False),
    ],
)
def test_limits_on_one_club(club: Club, within: bool) -> None:
    result = check(Bag(clubs=(club,)))
    assert result.within_limits is within
    breaches = [f for f in result.findings if f.kind == "breach"]
    assert [f.clubs for f in breaches] == ([] if within else [(club.name,)])
    assert all(f.source and f.value and f.limit and f.next_step for f in breaches)


def test_a_candidate_over_a_limit_is_told_but_the_bag_stays_within() -> None:
    club = replace(DRIVER, status="candidate", build=replace(DRIVER.build, length_m=49 * IN))
    result = check(Bag(clubs=(club,)))
    assert result.within_limits
    assert "candidate, not carried" in result.findings[0].words
    assert check(Bag(clubs=(replace(club, status="former"),))).findings[0].kind == "within"


def test_what_is_not_known_is_said_and_not_passed_off_as_checked() -> None:
    bare = Bag(clubs=(Club("Driver", "driver"), Club("Putter", "putter")))
    result = check(bare)
    assert result.within_limits
    assert {(f.item, f.clubs) for f in result.unchecked} == {
        ("length", ("Driver", "Putter")), ("putter loft", ("Putter",)), ("head volume", ("Driver",)),
    }  # fmt: skip
    assert all("not checked" in f.words and f.next_step for f in result.unchecked)
    assert not any("_" in f.words + f.next_step for f in result.findings), "no names of fields"
    assert not check(Bag(clubs=(DRIVER, IRON, PUTTER))).unchecked


def test_notes_defer_to_lists_and_committee() -> None:
    club = replace(
        DRIVER, head_volume_cm3=465.0, build=replace(DRIVER.build, length_m=47 * IN, hosel_setting="N")
    )
    words = " ".join(f.words for f in check(Bag(clubs=(club,))).findings)
    for part in (
        "governing bodies' lists",
        "committee",
        "46 in",
        "tolerance",
        "may not be changed",
        "No putter",
    ):
        assert part in words
    assert "grooves" in words


def test_an_empty_bag_is_within_limits() -> None:
    assert check(Bag()).within_limits
