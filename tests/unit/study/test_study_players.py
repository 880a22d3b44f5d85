"""Players of a study: folders and tables, with everything odd that people write."""

from __future__ import annotations

from pathlib import Path

import pytest

from bagwright.bag.club import Bag, Build, Club, Player
from bagwright.errors import InputError
from bagwright.study.plan import digest_of
from bagwright.tasks.asking import figures_in, figures_of, golfer_of, type_of
from bagwright.tasks.study_players import player_of_figures, players_of

BAG = """
shots = ["a/visit.csv"]
[player]
name = "Robin Example"
handicap = 14
[[club]]
name = "7 iron"
"""
SHOTS = "club,carry (m),offline (m)\r\n" + "".join(f"7 iron,{140 + i},{i - 3}\r\n" for i in range(6))


def a_table(folder: Path, text: str, encoding: str = "utf-8") -> Path:
    path = folder / "figures.csv"
    path.write_bytes(text.encode(encoding))
    return path


def test_a_folder_gives_every_bag_file_in_the_order_of_its_paths(tmp_path: Path) -> None:
    for name in ("b", "a/deep", "c"):
        (tmp_path / name / "a").mkdir(parents=True)
        (tmp_path / name / "bag.toml").write_text(BAG)
    (tmp_path / "b" / "a" / "visit.csv").write_text(SHOTS)
    players = players_of(tmp_path)
    found = list(players.each())
    assert [player.key for player in found] == ["a/deep/bag.toml", "b/bag.toml", "c/bag.toml"]
    assert players.count == 3
    assert found[1].load() == {"bag": BAG, "shots": [[".csv", SHOTS.encode()]]}
    assert found[0].load() == {"bag": BAG, "shots": [[".csv", None]]}, "what is missing fails in its task"
    assert [digest_of(player.load()) for player in players.each()] == [digest_of(p.load()) for p in found]
    golfer = golfer_of(found[1].load())
    assert golfer.table is not None
    assert golfer.table.n == 6
    assert golfer.row()["shots"] == 6
    assert "name" not in golfer.row()
    with pytest.raises(InputError, match="Shot table 1 of the bag file is not there"):
        golfer_of(found[0].load())


def test_an_empty_folder_says_what_is_missing(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"There is no bag.toml"):
        players_of(tmp_path)
    with pytest.raises(InputError, match="is not there"):
        players_of(tmp_path / "none")


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        ("player,handicap,driver_speed_mph,sex,hand\na,14,95,m,r\n\nb,+2.1,,female,left\n", "utf-8"),
        ("Handicap;Driver speed;SEX;hand;player\n14,0;95 mph;male;right;a\n+2,1;;f;l;b\n", "utf-8-sig"),
        (
            "player\thandicap\tdriver_speed_mps\tsex\thand\na\t14\t42.4688\tM\tRight\nb\t-2.1\t\tF\tL\n",
            "utf-8",
        ),
    ],
)
def test_tables_of_figures_in_several_spellings_say_the_same(
    tmp_path: Path, text: str, encoding: str
) -> None:
    """95 mph are 42.4688 m/s (a mile is 1609.344 m); +2.1 is better than scratch (common practice)."""
    players = players_of(a_table(tmp_path, text, encoding))
    assert players.count == 2
    assert players.figures
    a, b = (player_of_figures(player.load()["figures"]) for player in players.each())
    assert (a.handicap, a.sex, a.hand) == (14.0, "male", "right")
    assert a.driver_speed_mps == pytest.approx(42.4688)
    assert (b.handicap, b.sex, b.hand, b.driver_speed_mps) == (-2.1, "female", "left", None)
    assert [player.key for player in players.each()] == ["a", "b"]


def test_players_without_a_name_are_known_by_their_row(tmp_path: Path) -> None:
    players = list(players_of(a_table(tmp_path, "handicap\n1\n\n2\n")).each())
    assert [player.key for player in players] == ["row 2", "row 4"]
    assert players[0].where == "figures.csv, row 2"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("player,sex\na,m\n", "handicap is missing"),
        ("handicap,shoe size\n1,44\n", "shoe_size"),
        ("handicap,handicap\n1,2\n", "a heading stands twice"),
        ("handicap,driver_speed_mph,driver_speed_kmh\n1,95,150\n", "driver speed stands in two columns"),
        ("player,handicap\na,1\na,2\n", 'two players are called "a"'),
        ("", "handicap is missing"),
    ],
)
def test_tables_that_cannot_be_used_say_why(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(InputError) as error:
        players_of(a_table(tmp_path, text))
    assert told in str(error.value)


def test_a_row_with_too_many_cells_and_a_strange_encoding_are_named(tmp_path: Path) -> None:
    players = players_of(a_table(tmp_path, "handicap,sex\n1,m\n2,f,3\n"))
    with pytest.raises(InputError, match="row 3 has more cells"):
        list(players.each())
    with pytest.raises(InputError, match="is no table of players"):
        players_of(a_table(tmp_path, "player,handicap\nZoë,1\n", "latin-1"))


@pytest.mark.parametrize(
    ("figures", "told"),
    [
        ({"handicap": "good"}, 'The handicap "good" cannot be'),
        ({"handicap": "70"}, 'The handicap "70" cannot be'),
        ({"handicap": "+20"}, 'The handicap "+20" cannot be'),
        ({"handicap": "nan"}, 'The handicap "nan" cannot be'),
        ({"sex": "x"}, 'The sex "x" cannot be'),
        ({"hand": "both"}, 'The hand "both" cannot be'),
        ({"driver_speed_mph": "500"}, 'The driver_speed_mph "500" cannot be'),
        ({"driver_speed": "95"}, "unit"),
    ],
)
def test_cells_that_cannot_be_are_named(figures: dict[str, str], told: str) -> None:
    with pytest.raises(InputError) as error:
        player_of_figures(figures)
    assert told in str(error.value)


def test_a_player_of_figures_needs_a_handicap_and_carries_the_clubs_that_are_given() -> None:
    golfer = golfer_of(
        {"figures": {"handicap": "10"}}, Bag(Player(club_limit=5), (Club("7 iron", "iron", "7"),))
    )
    assert [club.name for club in golfer.bag.clubs] == ["7 iron"]
    assert (golfer.bag.player.club_limit, golfer.bag.player.handicap) == (5, 10.0)
    assert len(golfer_of({"figures": {"handicap": "10"}}).bag.clubs) == 13
    with pytest.raises(InputError, match="no handicap"):
        golfer_of({"figures": {}}).patterns(None)


def test_types_of_clubs_are_what_many_players_share() -> None:
    def of(kind: str, number: str | None = None, loft: float | None = None) -> str:
        return type_of(Club("any", kind, number, build=Build(loft_deg=loft)))  # type: ignore[arg-type]

    assert of("driver", loft=9.5) == "driver"
    assert of("wood", "3", 15.0) == "3 wood"
    assert of("iron", "7") == "7 iron"
    assert of("iron", None, 27.2) == "27° iron"
    assert of("iron", "PW", 44.3) == "44° wedge"
    assert of("wedge", "52", 51.2) == of("wedge", None, 52.9) == "52° wedge"


def test_figures_of_a_cell_come_back() -> None:
    cell = figures_of({"driver": 13.25, "3 wood": 0.5})
    assert cell == "driver=13.2500; 3 wood=0.5000"
    assert figures_in(cell) == {"driver": 13.25, "3 wood": 0.5}
    assert figures_in("") == {}
