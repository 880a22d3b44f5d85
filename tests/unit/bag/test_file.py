"""The bag file: what is read, what is refused with which words, and that it reads back the same."""

from dataclasses import replace
from pathlib import Path

import pytest

from bagwright.bag.builds import build_key, changed_fields, same_build
from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.bag.file import dump_bag, load_bag, parse_bag
from bagwright.errors import InputError, MachineError, ReadError

FULL = """
shots = ["visits/a.csv", "../b.csv"]
[player]
name = "Ines Quarrow"
hand = "left"
sex = "female"
age = 61
handicap = 22.5
driver_speed_mph = 65
height_cm = 164
wrist_to_floor_in = 33.5
pain = true
club_limit = 11
[[club]]
name = "7 iron"
loft_deg = 32.5
stamped_loft_deg = 33
length_in = 37
also = ["seven", "old 7"]
[[club]]
name = "52.10"
status = "candidate"
length_cm = 90
use = ["sand", "fairway"]
[[club.proposed]]
field = "lie_angle_deg"
value = "63"
reason = "toe marks"
"""


def test_a_bag_is_read_in_si_with_what_names_say() -> None:
    bag = parse_bag(FULL)
    assert bag.shot_files == ("visits/a.csv", "../b.csv")
    player = bag.player
    assert (player.hand, player.sex, player.pain, player.club_limit) == ("left", "female", True, 11)
    assert player.driver_speed_mps == pytest.approx(65 * 0.44704, rel=1e-12)  # 1 mph = 0.44704 m/s exactly
    assert player.wrist_to_floor_m == pytest.approx(0.8509, rel=1e-12)  # 33.5 in at 25.4 mm
    iron, wedge = bag.clubs
    assert (iron.kind, iron.number, iron.loft_deg, iron.stamped_loft_deg) == ("iron", "7", 32.5, 33.0)
    assert iron.build.length_m == pytest.approx(0.9398, rel=1e-12)
    assert (wedge.kind, wedge.number, wedge.stamped_loft_deg, wedge.status) == (
        "wedge",
        None,
        52.0,
        "candidate",
    )
    assert wedge.build.loft_deg is None, "a loft in a name is what is stamped, not what was measured"
    assert wedge.proposed == (("lie_angle_deg", "63", "toe marks"),)


def test_an_empty_file_is_an_empty_bag() -> None:
    assert parse_bag("") == Bag(Player(), (), (), "bag.toml")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[player", "is not a TOML file"),
        ("a = " + "[" * 5000, "is not a TOML file"),
        ("n = " + "9" * 6000, "is not a TOML file"),
        ("[palyer]\n", 'unknown key "palyer". The nearest known key is "player"'),
        ("[player]\nhandicapp = 3", 'unknown key "handicapp". The nearest known key is "handicap"'),
        ("[player]\nhandicap = '12'", 'handicap is "12", but must be a number of strokes'),
        ("[player]\nhandicap = nan", "handicap is nan, but must be a number"),
        ("[player]\nage = inf", "age is inf, but must be a number of years between 0 and 120"),
        ("[player]\nage = true", "age is True, but must be a number"),
        ("[player]\nage = 1979-05-27", "age is 1979-05-27, but must be a number"),
        ("[player]\npain = 1", "pain is 1, but must be true or false"),
        ("[player]\nhand = 'both'", 'hand is "both", but must be one of "right", "left"'),
        ("[player]\nclub_limit = 15", "club_limit is 15, but must be a number of clubs between 1 and 14"),
        ("[player]\nclub_limit = 9.5", "must be a whole number"),
        ("[player]\ndriver_speed_mph = 90\ndriver_speed_kmh = 145", "both driver_speed_mph"),
        ("[player]\nname = 'a\\u0000b'\nsex=''", "sex"),
        ('[player]\nname = "a\\u0007b"', "must not hold control characters, but has U+0007"),
        ("[player]\nname = '" + "x" * 201 + "'", "must not be longer than 200"),
        ("player = 3", "[player] must be a table"),
        ("club = 3", "written as [[club]]"),
        ("club = [3]", "club 1 must be a table"),
        ("[[club]]\nkind = 'iron'", "club 1 has no name"),
        ("[[club]]\nname = 'blue one'", "has no kind"),
        ("[[club]]\nname = '7i'\nkind = 'wood'", "kind is wood, but the name says iron"),
        ("[[club]]\nname = '7i'\nnumber = 6", 'number is "6", but the name says 7'),
        ("[[club]]\nname = '7i'\nlength_in = 95", 'club 1 ("7i"): length_in is 95'),
        ("[[club]]\nname = '7i'\nlength_in = 37\nlength_cm = 94", "both length_in and length_cm"),
        ("[[club]]\nname = '7i'\nlie = 62", 'unknown key "lie"'),
        ("[[club]]\nname = '7i'\nuse = 'tee'", "must be a list"),
        ("[[club]]\nname = '7i'\nuse = ['']", "must not be empty"),
        ("[[club]]\nname = '7i'\n[[club]]\nname = '７I '", "two clubs are named"),
        ("[[club]]\nname = '7i'\nproposed = 3", "[[club.proposed]]"),
        ("[[club]]\nname = '7i'\n[[club.proposed]]\nfield = 'loft_deg'\nvalue = '31'", "has no reason"),
        ("[[club]]\nname = '7i'\n[[club.proposed]]\nfield = 'loft'\nvalue='1'\nreason='x'", '"loft" is no'),
        ("[[club]]\n" * 501, "501 clubs are more than"),
        ("shots = 'a.csv'", "shots must be a list"),
        ("shots = ['/etc/passwd']", "must be relative to the bag file"),
        ("shots = ['C:\\\\visits\\\\a.csv']", "must be relative to the bag file"),
        ("shots = [3]", "must be a text in quotes"),
    ],
)  # fmt: skip
def test_a_bad_file_gets_a_plain_error(text: str, words: str) -> None:
    with pytest.raises(ReadError) as caught:
        parse_bag(text, "jo.toml")
    assert words in str(caught.value)
    assert "jo.toml" in str(caught.value)
    assert caught.value.next_step
    assert len(str(caught.value)) < 1500


def test_files_that_cannot_be_opened(tmp_path: Path) -> None:
    with pytest.raises(ReadError, match="There is no bag file"):
        load_bag(tmp_path / "none.toml")
    with pytest.raises(ReadError, match="is a folder"):
        load_bag(tmp_path)
    with pytest.raises(ReadError, match="not the name of a file"):
        load_bag("a\x00b")
    with pytest.raises(MachineError):
        load_bag(tmp_path / ("x" * 400))
    (tmp_path / "latin.toml").write_bytes(b"[player]\nname = 'J\xf6rn'")
    with pytest.raises(ReadError, match="not UTF-8"):
        load_bag(tmp_path / "latin.toml")
    (tmp_path / "huge.toml").write_bytes(b"#" * 1_000_001)
    with pytest.raises(ReadError, match="larger than"):
        load_bag(tmp_path / "huge.toml")
    (tmp_path / "bom.toml").write_bytes(b"\xef\xbb\xbf[player]\r\nname = 'Jo'\r\n")
    assert load_bag(tmp_path / "bom.toml").player.name == "Jo"


def test_a_written_bag_reads_back_the_same() -> None:
    bag = parse_bag(FULL)
    text = dump_bag(bag)
    assert parse_bag(text) == bag
    assert "driver_speed_mph = 65\n" in text, "values come out in the unit that writes them shortest"
    assert "length_in = 37\n" in text
    assert "length_cm = 90\n" in text


@pytest.mark.parametrize("name", ["", " 7i", "a\x00", "\ud800"])
def test_a_bag_that_no_file_can_hold_is_refused(name: str) -> None:
    with pytest.raises(InputError):
        dump_bag(Bag(clubs=(Club(name, "iron"),)))


def test_builds_are_told_apart_by_every_field() -> None:
    base = Club(
        "A", "iron", "7", build=Build("red", 32.0, "N", 0.94, 62.0, "steel", 95.0, "regular", "D2", "round")
    )
    assert same_build(base, Club("B", "wedge", build=base.build))
    for field, value in {
        "head": "blue", "loft_deg": 32.5, "hosel_setting": "+1", "length_m": 0.95, "lie_angle_deg": None,
        "shaft": "graphite", "shaft_weight_g": 90.0, "shaft_flex": "stiff", "swing_weight": "D1",
        "grip": None,
    }.items():  # fmt: skip
        other = Club("A", "iron", "7", build=replace(base.build, **{field: value}))  # type: ignore[arg-type]
        assert not same_build(base, other)
        assert changed_fields(base, other) == (field,)


def test_one_length_in_two_units_and_one_text_in_two_dresses_are_one_build() -> None:
    a = Club("A", "iron", build=Build(head="Red  Head", length_m=37 * 0.0254))
    b = Club("B", "iron", build=Build(head="red head", length_m=0.9398))
    assert build_key(a) == build_key(b)
