"""Club names in any usual spelling; the spellings themselves are common practice, no source."""

import pytest

from bagwright.bag.club import Bag, Build, Club
from bagwright.bag.names import ClubName, match_club, parse_club_name, split_club_name

SPELLINGS = {
    "7 iron": ["7i", "7 iron", "Iron 7", "i7", "7-iron", "7 Eisen", "７i", "‏7i", "#7 iron", "no. 7 iron",
               "seven iron", "7 - IRON", "7I", "٧ iron", "\ufeff7i", "fer 7", "Eisen 7",
               "7er Eisen", "7er-Eisen", "Eisen Nr. 7"],
    "3 hybrid": ["3H", "hybrid 3", "3 hy", "3 rescue", "H3", "3hyb", "Utility 3", "3U", "3 hybrid iron"],
    "hybrid": ["hybrid", "rescue", "Rescue"],
    "5 wood": ["5W", "wood 5", "fairway 5", "5 fairway wood", "W5", "FW5", "5-Holz", "5er Holz",
               "Fairwayholz 5"],
    "driver": ["driver", "Dr", "1W", "D", "DRIVER", "1 wood"],
    "driver 10.5°": ["10.5 driver", "Driver 10,5°", "1W 10.5°"],
    "mini driver": ["mini driver", "Mini-Driver"],
    "2 iron": ["2 driving iron", "2i", "utility iron 2"],
    "driving iron": ["driving iron"],
    "pitching wedge": ["PW", "pw", "P.W.", "P/W", "P W", "pitching wedge", "pitching", "p wedge",
                       "Pitchingwedge", "Pitching-Wedge"],
    "gap wedge": ["GW", "AW", "gap", "approach wedge", "gap wedge", "UW", "attack wedge", "A wedge",
                  "Gapwedge"],
    "sand wedge": ["SW", "sand", "Sand Wedge", "s.w.", "Sandwedge", "Sandeisen"],
    "lob wedge": ["LW", "lob wedge", "Lobwedge"],
    "56° wedge": ["56°", "56", "56 deg", "56w", "wedge 56", "56 wedge", "56º", "56˚", "56 degrees", "W56"],
    "56° sand wedge": ["SW 56", "56 SW", "56° sand wedge"],
    "50° wedge": ["50 wedge"],
    "52.10 wedge": ["52.10", "52/10", "52-10", "52.10 wedge"],
    "52.5° wedge": ["52.5", "52,5°"],
    "60.08 wedge": ["60.08", "60/8"],
    "15° wood": ["wood 15°", "15 deg wood", "15° fairway"],
    "3 wood 15°": ["3W 15°", "3 wood 15"],
    "19° hybrid": ["hybrid 19°", "19 hybrid"],
    "putter": ["putter", "Putt"],
}  # fmt: skip

UNKNOWN = [
    "", "   ", "7", "3", "A", "B", "P", "W", "7i B", "7i blue", "3/4", "3/4 SW 1", "13 wood",
    "5²", "0 iron", "99 iron", "iron iron 7 8", "iron wood", "PW SW", "driver 3", "driver 45", "putter 3",
    "7° iron",     "wedge 30", "7 iron 3 wood", "=7i", "7i; drop", "7i" + " " * 300, "​", "7i→", "°", "10.5°",
    "my favourite", "7er", "er", "7er blau", "Schläger 7", "43", "65", "562", "x" * 300, "56 7i",
    "52.10.8", "1234", "52.10 driver",
]  # fmt: skip


@pytest.mark.parametrize(
    ("label", "text"), [(label, text) for label, texts in SPELLINGS.items() for text in texts]
)
def test_a_usual_spelling_is_understood(label: str, text: str) -> None:
    name = parse_club_name(text)
    assert name is not None
    assert name.label == label


@pytest.mark.parametrize("text", UNKNOWN)
def test_what_is_no_name_or_leaves_a_choice_means_nothing(text: str) -> None:
    assert parse_club_name(text) is None


@pytest.mark.parametrize("label", SPELLINGS)
def test_a_label_parses_to_itself(label: str) -> None:
    name = parse_club_name(label)
    assert name is not None
    assert name.label == label


def test_the_parts_of_a_name() -> None:
    assert parse_club_name("52.10") == ClubName("wedge", None, 52.0, "52.10 wedge", 10.0)
    assert parse_club_name("SW 56°") == ClubName("wedge", "SW", 56.0, "56° sand wedge", None)
    assert parse_club_name("rescue 4 22°") == ClubName("hybrid", "4", 22.0, "4 hybrid 22°", None)
    assert parse_club_name("mini driver 12°") == ClubName("driver", "mini", 12.0, "mini driver 12°", None)


def test_a_leading_name_is_split_off_an_unknown_build() -> None:
    name, rest = split_club_name("7i Blue Shaft")
    assert name is not None
    assert (name.label, rest) == ("7 iron", "blue shaft")
    assert split_club_name("pitching wedge new")[1] == "new"
    assert split_club_name("Blue 7i") == (None, "blue 7i")
    assert split_club_name("") == (None, "")


IRON = Club("7 iron", "iron", "7", also=("old seven",))
WEDGE = Club("SW", "wedge", "SW", stamped_loft_deg=56.0, build=Build(loft_deg=54.0))
BAG = Bag(clubs=(Club("Driver", "driver"), IRON, Club("PW", "iron", "PW"), WEDGE))


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("7i", "7 iron"), ("Iron 7", "7 iron"), ("OLD  Seven", "7 iron"), ("pitching wedge", "PW"),
        ("1W", "Driver"),
        ("10.5 driver", "Driver"), ("56°", "SW"), ("54°", "SW"), ("sand", "SW"), ("SW 56", "SW"),
    ],
)  # fmt: skip
def test_one_club_answers_to_every_spelling(text: str, name: str) -> None:
    match = match_club(text, BAG)
    assert match.club is not None
    assert match.club.name == name


@pytest.mark.parametrize("text", ["6i", "58°", "SW 60", "GW", "blue", "", "mini driver"])
def test_a_name_of_no_club_in_the_bag_matches_none(text: str) -> None:
    match = match_club(text, BAG)
    assert match.club is None
    assert match.candidates == ()
    assert match.reason


def test_two_builds_with_one_number_never_merge() -> None:
    new = Club("7 iron new", "iron", "7", "candidate", Build(shaft="90 g"))
    bag = Bag(clubs=(*BAG.clubs, new))
    match = match_club("7i", bag)
    assert match.club is None
    assert match.candidates == (IRON, new)
    assert "several builds" in match.reason
    assert match_club("7 Iron", bag).club is IRON, "the exact name wins"
    assert match_club("old seven", bag).club is IRON, "so does another spelling the bag gives"
    assert match_club("7 IRON NEW", bag).club is new


def test_two_clubs_with_one_also_spelling_are_ambiguous() -> None:
    bag = Bag(clubs=(Club("A", "iron", "7", also=("mine",)), Club("B", "iron", "8", also=("Mine",))))
    assert match_club("mine", bag).club is None
    assert len(match_club("mine", bag).candidates) == 2


NEUTRAL = Club("Driver", "driver", build=Build(head="red", hosel_setting="N"))
UPRIGHT = Club("Driver up", "driver", build=Build(head="red", hosel_setting="+1"))


def test_the_setting_tells_builds_apart() -> None:
    bag = Bag(clubs=(NEUTRAL, UPRIGHT))
    assert match_club("1W", bag).club is None
    assert match_club("1W", bag, "n").club is NEUTRAL
    assert match_club("1W", bag, " +1 ").club is UPRIGHT
    assert match_club("Driver", bag, "+1").club is UPRIGHT, "a changed setting is another build"


def test_a_setting_the_bag_does_not_have_is_a_new_build() -> None:
    match = match_club("Driver", Bag(clubs=(NEUTRAL,)), "+2")
    assert match.club is None
    assert match.candidates == (NEUTRAL,)
    assert "+2" in match.reason


def test_a_setting_the_bag_does_not_say_is_left_open() -> None:
    plain = Club("Driver", "driver")
    match = match_club("Driver", Bag(clubs=(plain,)), "+2")
    assert match.club is plain
    assert match.setting_open


def test_bounce_tells_two_wedges_of_one_loft_apart() -> None:
    low = Club("52 low", "wedge", stamped_loft_deg=52.0, bounce_deg=8.0)
    high = Club("52 high", "wedge", stamped_loft_deg=52.0, bounce_deg=12.0)
    bag = Bag(clubs=(low, high))
    assert match_club("52.08", bag).club is low
    assert match_club("52.12", bag).club is high
    assert match_club("52", bag).candidates == (low, high)


def test_a_kind_alone_means_the_only_club_of_that_kind() -> None:
    assert match_club("wedge", BAG).club is WEDGE
    assert match_club("rescue", Bag(clubs=(Club("4H", "hybrid", "4"),))).club is not None
