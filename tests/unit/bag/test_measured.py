"""As built against the sheet, and what a season's check suggests."""

from __future__ import annotations

import pytest

from bagwright.bag.club import Build, Club
from bagwright.bag.measured import Measured, advise, as_built, bends, sheet_of

SHEET: dict[str, float | str | None] = {
    "loft_deg": 50.0,
    "lie_angle_deg": 64.0,
    "length_m": 0.9017,
    "swing_weight": "D2",
    "grip": "Cord, midsize",
}


def word(field: str, built: float | str | None) -> str:
    found = {check.field: check.word for check in as_built(SHEET, {field: built})}
    return found[field]


@pytest.mark.parametrize(
    ("field", "built", "said"),
    [
        ("loft_deg", 50.5, "within"),
        ("loft_deg", 50.6, "out"),
        ("loft_deg", None, "not measured"),
        ("length_m", 0.9017 + 0.0016, "within"),
        ("length_m", 0.9017 - 0.0020, "out"),
        ("swing_weight", "D3", "within"),
        ("swing_weight", "D4", "out"),
        ("swing_weight", "C9.5", "out"),
        ("swing_weight", "heavy", "out"),
        ("grip", "cord,  midsize", "within"),
        ("grip", "cord, jumbo", "out"),
        ("bounce_deg", 9.0, "not said"),
    ],
)
def test_a_built_figure_against_the_sheet(field: str, built: float | str | None, said: str) -> None:
    """Tolerances: common practice, no source, as the build sheet prints them."""
    assert word(field, built) == said


def test_what_nobody_said_or_measured_is_not_listed() -> None:
    assert {check.field for check in as_built(SHEET, {})} == set(SHEET)
    assert as_built({}, {}) == ()
    (loft,) = as_built({"loft_deg": 50.0}, {"loft_deg": 51.25})
    assert loft.off_by == pytest.approx(1.25)


IRON = Club(
    "7 iron", "iron", build=Build(loft_deg=33.0, lie_angle_deg=62.0), construction="forged", grip_age_months=6
)
WEDGE = Club(
    "54 wedge",
    "wedge",
    build=Build(loft_deg=54.0),
    construction="cast",
    groove_age_months=48,
    grip_age_months=6,
)


@pytest.mark.parametrize(
    ("club", "now", "changed", "outcome", "said"),
    [
        (IRON, Measured(loft_deg=33.4, lie_angle_deg=62.0), None, "keep", "Nothing measured"),
        (IRON, Measured(loft_deg=31.5), None, "bend back", "1.5° off"),
        (IRON, Measured(lie_angle_deg=63.0), 0.9, "bend back", "Lie angle"),
        (IRON, Measured(loft_deg=33.0, grip_state="worn"), None, "regrip", "grip is worn"),
        (IRON, Measured(loft_deg=33.0), 0.9, "retest", "probably changed"),
        (IRON, Measured(loft_deg=33.0), 0.6, "keep", "Nothing measured"),
        (WEDGE, Measured(loft_deg=54.0), None, "retest", "grooves are old"),
        (WEDGE, Measured(loft_deg=54.0, groove_state="good"), None, "keep", "Nothing measured"),
        (WEDGE, Measured(), None, "retest", "grooves"),
    ],
)
def test_what_a_check_suggests(
    club: Club, now: Measured, changed: float | None, outcome: str, said: str
) -> None:
    advice = advise(club, now, changed)
    assert advice.outcome == outcome
    assert said in " ".join(advice.reasons)


def test_bending_comes_with_what_the_head_allows() -> None:
    assert "2 degrees" in advise(IRON, Measured(loft_deg=31.0)).cautions[0]
    assert "crack" in advise(WEDGE, Measured(loft_deg=52.0)).cautions[0]
    driver = Club("Driver", "driver", build=Build(loft_deg=10.0))
    assert advise(driver, Measured(loft_deg=12.0)).outcome == "retest", "what cannot be bent is not bent back"
    assert not bends(Club("5 iron", "iron", construction="hollow body"))
    assert "mostly cannot be bent" in advise(driver, Measured(loft_deg=12.0)).cautions[0]
    unknown = Club("9 iron", "iron", build=Build(loft_deg=41.0))
    assert "made of first" in advise(unknown, Measured(loft_deg=39.0)).cautions[0]


@pytest.mark.parametrize(
    ("field", "value", "key", "wanted"),
    [
        ("loft_deg", "51.5", "loft_deg", 51.5),
        ("loft_deg", "51,5°", "loft_deg", 51.5),
        ("lie_angle_deg", "63 degrees", "lie_angle_deg", 63.0),
        ("length_in", "35.5", "length_m", 0.9017),
        ("length_cm", "90,17", "length_m", 0.9017),
        ("length_m", "35.5 in", "length_m", 0.9017),
        ("length_in", "90.17 cm", "length_m", 0.9017),
        ("loft_deg", "2 weaker", "loft_deg", "2 weaker"),
        ("loft_deg", "51 cm", "loft_deg", "51 cm"),
        ("bounce_deg", "\N{MINUS SIGN}2", "bounce_deg", -2.0),
        ("swing_weight", "D3", "swing_weight", "D3"),
    ],
)
def test_a_proposed_change_goes_before_what_the_club_was(
    field: str, value: str, key: str, wanted: float | str
) -> None:
    """One inch is 0.0254 m exactly: 35.5 in are 0.9017 m."""
    sheet = sheet_of({"loft_deg": 50.0, "length_m": 0.9}, [(field, value, "why")])
    assert sheet[key] == (pytest.approx(wanted) if isinstance(wanted, float) else wanted)


def test_words_on_a_sheet_are_held_against_the_figure_by_eye() -> None:
    (loft,) = as_built({"loft_deg": "2 weaker"}, {"loft_deg": 52.0})
    assert (loft.word, loft.off_by) == ("by eye", None)
