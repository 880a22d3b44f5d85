"""`bagwright pick`: one short hole from the terminal, its proof, its pictures, words that are refused."""

from __future__ import annotations

import json
import math
import signal
from pathlib import Path

import pytest

from bagwright.bag.file import load_bag
from bagwright.cli.main import main
from bagwright.cli.show_pick import Watch
from bagwright.errors import InputError
from bagwright.pick.best import Done
from bagwright.tasks.pick_words import PickWish, altered_of, changes_of, share_of, wish_of

CARD = "hole,par,stroke index,white (yd),words\n1,3,1,130,bunkers short\n"
BAG = """
[player]
name = "Robin Example"
hand = "right"
handicap = 14
driver_speed_mph = 92
club_limit = 4
currency = "EUR"

[[club]]
name = "7 iron"
stamped_loft_deg = 32

[[club]]
name = "9 iron"
stamped_loft_deg = 41

[[club]]
name = "Sand wedge"
kind = "wedge"
stamped_loft_deg = 55

[[club]]
name = "8 iron"
stamped_loft_deg = 36
status = "candidate"
price = 90
lead_time_days = 12

[[club]]
name = "Old 6 iron"
kind = "iron"
stamped_loft_deg = 28
status = "former"

[[club]]
name = "Putter"
kind = "putter"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "bag.toml").write_text(BAG)
    (tmp_path / "card.csv").write_text(CARD)
    return tmp_path


def test_a_pick_with_proof_and_pictures(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = ["pick", "--course", str(folder / "card.csv"), "--player", str(folder / "bag.toml")]
    proof = folder / "pick.json"
    more = [
        "--pin",
        "7 iron=he likes it",
        "--alter",
        "9 iron-2deg=15/2",
        "--proof",
        str(proof),
        "--confirm",
        "1",
    ]
    assert main([*words, *more, "--out", str(folder / "out"), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert {"clubs", "round", "bound", "optimal", "worth", "runners_up", "how_sure"} <= set(answer)
    assert answer["optimal"] is True
    assert answer["round"] == answer["bound"]
    # A 14 handicap on a par 3 of 130 yd: over par, less than two over (common practice, no source).
    assert 3.0 < answer["round"] < 5.0
    assert len(answer["clubs"]) <= 4
    assert {"7 iron", "Putter"} <= set(answer["clubs"])
    assert not {"9 iron", "9 iron-2deg"} <= set(answer["clubs"])
    assert "Old 6 iron" not in answer["clubs"]
    assert answer["pins"][0]["strokes"] >= 0.0
    assert answer["route"]["price"] in (0.0, 15.0, 90.0, 105.0)
    assert answer["today"] >= answer["round"] - 1e-5
    assert "Under this model and these inputs" in answer["how_sure"]["proof"]
    assert 0.0 < answer["how_sure"]["chance"] <= 1.0
    assert all(one["range"]["low"] <= one["strokes"] <= one["range"]["high"] for one in answer["worth"])
    assert len(answer["anew"]) == 1
    # The problem's small grid against every yard: a par 3 of one shot and what follows it.
    assert abs(answer["anew"][0]["round"] - answer["round"]) < 0.05
    for name in ("worth", "bags", "reach"):
        assert (folder / "out" / f"{name}.svg").read_text().startswith("<svg")
    assert main(["pick", "--verify", str(proof)]) == 0
    assert "The proof holds" in capsys.readouterr().out
    kept = json.loads(proof.read_text())
    kept["near"] = kept["near"][:1]
    kept["strokes"] = kept["near"][0][1] = kept["strokes"] - 0.01
    proof.write_text(json.dumps(kept))
    assert main(["pick", "--verify", str(proof)]) == 1
    assert "does not hold" in capsys.readouterr().out


def test_what_cannot_be_used_is_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    course = ["--course", str(folder / "card.csv")]
    player = ["--player", str(folder / "bag.toml")]
    for words in (
        [*course],
        [*player],
        [*course, *player, "--pin", "7 iron"],
        [*course, *player, "--not-both", "7 iron"],
        [*course, *player, "--tees", "gold"],
        [*course, *player, "--wind", "10mph@head*x"],
        [*course, *player, "--share", "1", "--share", "2"],
        [*course, *player, "--speed", "5mph"],
        [*course, *player, "--loft", "7 iron+1in"],
        [*course, *player, "--alter", "9 iron+2deg"],
        ["--verify", str(folder / "none.json")],
    ):
        assert main(["pick", *words]) == 2, words
        assert capsys.readouterr().err.strip()


def test_the_wish_that_words_make(folder: Path) -> None:
    bag = load_bag(folder / "bag.toml")
    asked = PickWish((), alters=("9 iron-2deg=15/2", "9 iron-3deg=20"), not_both=("7 iron, 8 iron",))
    altered = altered_of(asked)
    assert [one.name for one in altered] == ["9 iron-2deg", "9 iron-3deg"]
    assert [(one.price, one.lead_time_days) for one in altered] == [(15.0, 2.0), (20.0, None)]
    assert altered[0].change.loft_rad == pytest.approx(math.radians(-2.0))
    wish = wish_of(bag, asked, 1, altered)
    assert wish.slots == 3
    assert wish.today == ("7 iron", "9 iron", "Sand wedge")
    assert dict(wish.prices) == {"8 iron": 90.0, "9 iron-2deg": 15.0, "9 iron-3deg": 20.0}
    assert set(wish.not_both) == {
        ("7 iron", "8 iron"),
        ("9 iron", "9 iron-2deg"),
        ("9 iron", "9 iron-3deg"),
        ("9 iron-3deg", "9 iron-2deg"),
    }
    assert wish_of(bag, PickWish((), slots=10), 1).slots == 9


def test_changes_of_speed_and_loft(folder: Path) -> None:
    bag = load_bag(folder / "bag.toml")
    speed, loft = changes_of(bag, PickWish((), speed="+5 mph", lofts=("Sand wedge+1deg",)))
    assert speed.faster == pytest.approx(5 / 92)
    assert (speed.club, loft.club) == (None, "Sand wedge")
    assert loft.loft_rad == pytest.approx(math.radians(1.0))
    (slower,) = changes_of(bag, PickWish((), speed="−10km/h"))
    assert slower.faster == pytest.approx(-10 / 3.6 / (92 * 0.44704))
    for words in ({"speed": "+60mph"}, {"speed": "+x"}, {"lofts": ("+1deg",)}, {"lofts": ("7 iron+1",)}):
        with pytest.raises(InputError):
            changes_of(bag, PickWish((), **words))


def test_the_first_ctrl_c_ends_the_search_alone(capsys: pytest.CaptureFixture[str]) -> None:
    before = signal.getsignal(signal.SIGINT)
    with Watch(quiet=True) as watch:
        watch.search(Done(1, 80.0, 79.0, 1))
        assert not watch.stopped()
        signal.raise_signal(signal.SIGINT)
        assert watch.stopped()
        assert "Ending with what is found" in capsys.readouterr().err
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.parametrize(
    ("text", "found"),
    [("white", ("white", 1.0)), ("10mph@sw*2", ("10mph@sw", 2.0)), ("calm*0.5", ("calm", 0.5))],
)
def test_a_share_stands_after_a_star(text: str, found: tuple[str, float]) -> None:
    assert share_of(text) == found


@pytest.mark.parametrize("text", ["white*", "white*0", "white*-1", "white*nan", "white*inf"])
def test_a_share_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        share_of(text)
