"""Whatever figures come in: an ordered, finite answer or a refusal that names what is wrong."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bagwright.errors import InputError
from bagwright.flight.infer import infer
from bagwright.flight.prior import KINDS
from bagwright.flight.seen import RANGES, Seen

NAMES = [n for n in RANGES if n != "total_m"]


@st.composite
def figures(draw: st.DrawFn) -> dict[str, float]:
    names = draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=4, unique=True))
    return {n: draw(st.floats(RANGES[n][0], RANGES[n][1])) for n in names}


@settings(max_examples=25, deadline=None)
@given(figures(), st.sampled_from([None, *KINDS]))
def test_any_figures_in_range_give_an_ordered_finite_answer(
    given_: dict[str, float], kind: str | None
) -> None:
    seen = Seen(**given_, club_kind=kind)
    if set(given_) == {"loft_rad"}:
        with pytest.raises(InputError, match="nothing was seen"):
            infer(seen)
        return
    found = infer(seen)
    for name in (
        "ball_speed_mps",
        "launch_rad",
        "spin_rpm",
        "direction_rad",
        "spin_axis_rad",
        "carry_m",
        "apex_m",
    ):
        range_ = getattr(found, name)
        assert math.isfinite(range_.low)
        assert math.isfinite(range_.high)
        assert range_.low <= range_.value <= range_.high, name
    assert 0.0 <= found.misfit_sd <= 38.0
    assert found.words


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(list(RANGES)), st.floats(allow_nan=True, allow_infinity=True))
def test_a_figure_is_taken_or_refused_by_name(name: str, value: float) -> None:
    low, high, _ = RANGES[name]
    if low <= value <= high:
        assert getattr(Seen(**{name: value}), name) == value  # type: ignore[arg-type]
        return
    with pytest.raises(InputError, match=name):
        Seen(**{name: value})  # type: ignore[arg-type]
