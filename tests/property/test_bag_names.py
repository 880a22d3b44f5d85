"""Any text as a club name: never an exception, and one meaning however it is dressed."""

from hypothesis import given
from hypothesis import strategies as st

from bagwright.bag.club import Bag, Club
from bagwright.bag.names import clean_text, match_club, parse_club_name, split_club_name

BAG = Bag(
    clubs=(Club("Driver", "driver"), Club("7i", "iron", "7"), Club("56", "wedge", stamped_loft_deg=56.0))
)
NAMES = st.sampled_from(
    ["7i", "3H", "5 wood", "PW", "56°", "52.10", "driver", "gap wedge", "hybrid 19°", "putter"]
)
LIKELY = st.text(alphabet="0123456789ihwpsgld.°/- ７ironwedge", max_size=20)
INVISIBLE = st.text(alphabet="\u200b\u200f\u202e\ufeff\u2066\x00", max_size=5)


@given(st.text(max_size=400) | LIKELY)
def test_no_text_raises_and_a_label_means_the_same_again(text: str) -> None:
    name = parse_club_name(text)
    split_club_name(text)
    match_club(text, BAG, text)
    if name is not None:
        again = parse_club_name(name.label)
        assert again is not None
        assert (again.kind, again.number, again.loft_deg, again.label) == (
            name.kind,
            name.number,
            name.loft_deg,
            name.label,
        )


@given(NAMES, INVISIBLE, INVISIBLE, st.booleans(), st.booleans())
def test_dress_does_not_change_the_meaning(name: str, left: str, right: str, wide: bool, upper: bool) -> None:
    dressed = "".join(chr(ord(c) + 0xFEE0) if wide and "!" <= c <= "~" else c for c in name)
    dressed = f"{left} {dressed.upper() if upper else dressed} {right}"
    assert parse_club_name(dressed) == parse_club_name(name)


@given(st.text(max_size=100))
def test_cleaning_twice_is_cleaning_once(text: str) -> None:
    assert clean_text(clean_text(text)) == clean_text(text)


@given(LIKELY)
def test_a_match_is_one_club_or_no_club_never_a_guess(text: str) -> None:
    match = match_club(text, BAG)
    assert (match.club is None) == (len(match.candidates) != 1)
