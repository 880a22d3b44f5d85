"""Any bag that a file can hold reads back the same; any text is a bag or a plain error."""

import string
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.bag.club import STATUSES, Bag, Build, Club, Player
from bagwright.bag.file import dump_bag, parse_bag
from bagwright.errors import ReadError

TEXT = st.text(
    st.characters(exclude_categories=("Cc", "Cs")), min_size=1, max_size=30
).filter(lambda text: text == text.strip() and bool(text))  # fmt: skip
NAMES = st.integers(0, 10**6).map(lambda i: f"build {i} zz")


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


def number(low: float, high: float) -> st.SearchStrategy[Any]:
    return maybe(st.floats(low, high))


BUILDS = st.builds(
    Build, head=maybe(TEXT), loft_deg=number(-20, 80), hosel_setting=maybe(TEXT), length_m=number(0.21, 1.99),
    lie_angle_deg=number(40, 90), shaft_weight_g=number(10, 300), swing_weight=maybe(TEXT),
)  # fmt: skip
CLUBS = st.builds(
    Club, name=NAMES, kind=st.sampled_from(["iron", "wedge", "putter"]), number=maybe(TEXT),
    status=st.sampled_from(STATUSES), build=BUILDS, bounce_deg=number(-10, 30),
    also=st.lists(TEXT, max_size=3).map(tuple), price=number(0, 1e6), note=maybe(TEXT),
    proposed=st.lists(st.tuples(st.just("grip"), TEXT, TEXT), max_size=2).map(tuple),
)  # fmt: skip
PLAYERS = st.builds(
    Player, name=TEXT, hand=st.sampled_from(["right", "left"]), age=number(0, 120), handicap=number(-12, 60),
    driver_speed_mps=number(9, 71), height_m=number(0.51, 2.59), pain=st.booleans(), goals=maybe(TEXT),
    club_limit=st.integers(1, 14), currency=st.sampled_from(["", "EUR"]),
)  # fmt: skip
BAGS = st.builds(Bag, PLAYERS, st.lists(CLUBS, max_size=4, unique_by=lambda c: c.name).map(tuple))


@given(BAGS)
@settings(max_examples=150)
def test_a_bag_reads_back_the_same(bag: Bag) -> None:
    again = parse_bag(dump_bag(bag))
    assert (again.player, again.clubs, again.shot_files) == (bag.player, bag.clubs, bag.shot_files)


LINES = st.lists(
    st.sampled_from(["[player]", "[[club]]", "[[club.proposed]]", "name = '7i'", "age = -1", "shots = []"])
    | st.text(string.printable, max_size=30),
    max_size=8,
).map("\n".join)  # fmt: skip


@given(LINES | st.text(max_size=200))
def test_any_text_is_a_bag_or_a_plain_error(text: str) -> None:
    try:
        bag = parse_bag(text)
    except ReadError:
        return
    assert parse_bag(dump_bag(bag)).clubs == bag.clubs
