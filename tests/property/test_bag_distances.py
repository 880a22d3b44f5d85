"""Any bag and any carries: a table in order, probabilities that are probabilities, and no exception."""

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.bag.club import KINDS, STATUSES, Bag, Build, Club, Player
from bagwright.distances import DistanceTable, StepRules, distances
from tests.unit.distances.fakes import FakeFits, fit

LOFT = st.none() | st.floats(5, 66)
CLUBS = st.builds(
    Club,
    name=st.text("abc {}%\\<>'", min_size=1, max_size=6),
    kind=st.sampled_from(KINDS),
    status=st.sampled_from(STATUSES),
    build=st.builds(Build, loft_deg=LOFT),
    stamped_loft_deg=LOFT,
    bounce_deg=st.none() | st.floats(0, 16),
    use=st.sampled_from([(), ("tee",), ("sand", "rough")]),
)
HIT = st.tuples(st.floats(20, 300), st.floats(1, 40), st.floats(0.2, 25), st.none() | st.floats(20, 60))
BAGS = st.lists(st.tuples(CLUBS, st.none() | HIT), max_size=8, unique_by=lambda pair: pair[0].name)
PLAYERS = st.builds(Player, age=st.none() | st.floats(8, 90), driver_speed_mps=st.none() | st.floats(20, 60))


def measure(
    pairs: list[tuple[Club, tuple[float, float, float, float | None] | None]], player: Player
) -> DistanceTable:
    fits = {(club.name, "stock"): fit(*hit) for club, hit in pairs if hit is not None}
    return distances(FakeFits(fits), Bag(player, tuple(club for club, _ in pairs)), StepRules())


@settings(max_examples=60)
@given(BAGS, PLAYERS)
def test_any_bag_gives_an_ordered_table(
    pairs: list[tuple[Club, tuple[float, float, float, float | None] | None]], player: Player
) -> None:
    table = measure(pairs, player)
    carried = [row.club for row in table.clubs if row.status == "carried"]
    assert [(s.longer, s.shorter) for s in table.steps] == list(itertools.pairwise(carried))
    for step in table.steps:
        assert 0.0 <= step.p_overlap <= 1.0
        assert 0.0 <= step.p_gap <= 1.0
        assert step.p_overlap + step.p_gap <= 1.0 + 1e-12, "no step is too narrow and too wide at once"
        assert step.overlap_below_m < step.gap_above_m
        assert step.even_low_m < step.even_high_m
    for finding in table.findings:
        assert finding.words
        assert finding.in_system("metres").in_system("yards") == finding
        assert finding.probability is None or 0.0 <= finding.probability <= 1.0


@settings(max_examples=30)
@given(BAGS.filter(lambda pairs: all(hit is not None for _, hit in pairs)), PLAYERS)
def test_the_order_of_the_bag_file_does_not_change_who_neighbours_whom(
    pairs: list[tuple[Club, tuple[float, float, float, float | None] | None]], player: Player
) -> None:
    carries = sorted(hit[0] for _, hit in pairs if hit is not None)
    if any(b - a < 2.0 for a, b in itertools.pairwise(carries)):
        return  # hand-made draws of two nearly equal carries may change places
    forward, backward = measure(pairs, player), measure(pairs[::-1], player)
    assert [row.club for row in forward.clubs] == [row.club for row in backward.clubs]
