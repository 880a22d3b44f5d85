"""`bagwright pick`: one short hole from the terminal, its proof, its pictures, words that are refused."""

from __future__ import annotations

import json
import math
import signal
import time
from pathlib import Path

import pytest

from bagwright.bag.file import load_bag
from bagwright.cli.main import main
from bagwright.cli.show_pick import Watch
from bagwright.errors import InputError
from bagwright.pick.best import Done
from bagwright.tasks.pick_words import (
    PickWish,
    altered_of,
    changed_words,
    changes_of,
    moves_of,
    moves_words,
    share_of,
    wish_of,
)
from bagwright.words import in_language

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
    today = {"7 iron", "9 iron", "Sand wedge"}
    clubs = set(answer["clubs"]) - {"Putter"}
    assert set(answer["moves"]["instead"]) == clubs - today
    assert set(answer["moves"]["without"]) == today - clubs
    route = set(answer["route"]["clubs"])
    assert set(answer["route_moves"]["instead"]) == route - today == set(answer["route"]["buys"])
    assert set(answer["route_moves"]["without"]) == today - route
    assert answer["changed"] == ""
    for name in ("worth", "bags", "reach"):
        assert (folder / "out" / f"{name}.svg").read_text().startswith("<svg")
    assert main(["pick", "--verify", str(proof)]) == 0
    assert "The proof holds" in capsys.readouterr().out
    whole = proof.read_text()
    kept = json.loads(whole)
    kept["tree"] = {"open": [None, None, None]}
    proof.write_text(json.dumps(kept))
    assert main(["pick", "--verify", str(proof)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "unfinished" in said
    assert "0 parts are closed and right, 1 are open" in said
    assert f"--resume {proof} --proof {proof}" in said
    assert ", ".join(name for name in answer["clubs"] if name != "Putter") in said
    kept = json.loads(whole)
    kept["near"] = kept["near"][:1]
    kept["strokes"] = kept["near"][0][1] = kept["strokes"] - 0.01
    proof.write_text(json.dumps(kept))
    assert main(["pick", "--verify", str(proof)]) == 1
    assert "does not hold: the file was changed" in capsys.readouterr().out


def test_the_answer_begins_with_what_is_asked_and_what_changes(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["pick", "--course", str(folder / "card.csv"), "--player", str(folder / "bag.toml")]
    assert main([*words, "--pin", "8 iron=new one", "--speed", "+5mph"]) == 0
    first, second, third = capsys.readouterr().out.splitlines()[:3]
    assert first.endswith("strokes a round with 5 mph more driver speed:")
    assert first.startswith("4 of at most 4 clubs, ")
    assert second.startswith("In: 8 iron; out: ")
    assert second.endswith("; costs 90 EUR, 12 days.")
    assert "8 iron (new)" in third


def test_names_and_contradictions_are_refused_before_any_hole(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def hole(*given: object) -> None:
        raise AssertionError("a hole was worked out")

    monkeypatch.setattr("bagwright.tasks.picking._stated", hole)
    words = ["pick", "--course", str(folder / "card.csv"), "--player", str(folder / "bag.toml")]
    pins = ["--pin", "7 iron=a", "--pin", "8 iron=b"]
    for more, said in (
        (["--pin", "Brassie=x"], "no such club to choose from: Brassie"),
        (["--pin", "Old 6 iron=x"], "no such club to choose from: Old 6 iron"),
        (["--not-both", "7 iron,Brassie"], "no such club to choose from: Brassie"),
        ([*pins, "--not-both", "7 iron,8 iron"], "never carried together"),
        ([*pins, "--budget", "10"], "more than the budget"),
    ):
        assert main([*words, *more]) == 2, more
        assert said in " ".join(capsys.readouterr().err.split())


def test_what_comes_in_goes_out_and_costs() -> None:
    prices, days = {"c": 90.0, "d": 10.5}, {"c": 12.0, "d": 1.0}
    for clubs, english, german in (
        ("ab", "Nothing changes: today's clubs.", "Nichts ändert sich: die heutigen Schläger."),
        ("a", "In: no club; out: b; costs nothing.", "Hinein: kein Schläger; hinaus: b; kostet nichts."),
        ("acd", "In: c, d; out: b; costs 100.5 EUR, 12 days.",
         "Hinein: c, d; hinaus: b; kostet 100,5 EUR, 12 Tage."),
        ("abd", "In: d; out: no club; costs 10.5 EUR, 1 day.",
         "Hinein: d; hinaus: kein Schläger; kostet 10,5 EUR, 1 Tag."),
        ("ace", "In: c, e; out: b; price unknown of e, days unknown.",
         "Hinein: c, e; hinaus: b; Preis unbekannt bei e, Tage unbekannt."),
    ):  # fmt: skip
        told = moves_words(moves_of("ab", clubs, prices, days), "EUR")
        assert (told, in_language(told, "de")) == (english, german)


def test_the_change_of_the_player_in_words() -> None:
    assert changed_words(PickWish(())) == ""
    told = changed_words(PickWish((), speed="+5mph", lofts=("Gap wedge+1deg", "7 iron-2deg")))
    assert told == (
        "with 5 mph more driver speed, with 1° more loft on the Gap wedge, with 2° less loft on the 7 iron"
    )
    german = in_language(changed_words(PickWish((), speed="−10 km/h")), "de")
    assert german == "mit 10 km/h weniger Drivergeschwindigkeit"


def test_without_a_terminal_a_line_is_said_each_half_minute(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    now = 1000.0
    monkeypatch.setattr(time, "monotonic", lambda: now)
    with Watch(quiet=False) as watch, Watch(quiet=True) as still:
        for k in range(1, 19):
            now += 5.0
            watch.holes(k, 18)
            still.holes(k, 18)
    assert capsys.readouterr().err.splitlines() == [f"holes worked out: {k} of 18" for k in (6, 12, 18)]


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
