"""Typed lines: there and back; whatever is typed gives a shot within limits or an error that points at it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagwright.errors import InputError
from bagwright.shots.line import (
    LineError,
    LineForm,
    Typed,
    dump_form,
    example,
    load_form,
    parse_line,
    write_line,
)
from bagwright.shots.line_form import FIGURES, TAGS, UNITS
from bagwright.shots.line_words import LANGUAGES, LEFT, RIGHT
from bagwright.shots.record import MISHITS, SWINGS

NAMES = tuple(FIGURES)


@st.composite
def forms(draw: st.DrawFn) -> LineForm:
    order = tuple(draw(st.permutations(NAMES))[: draw(st.integers(1, 5))])
    language = draw(st.sampled_from(LANGUAGES))
    return LineForm(
        order=order,
        units={name: draw(st.sampled_from(UNITS[FIGURES[name].dimension])) for name in NAMES},
        left=LEFT[language],
        right=RIGHT[language],
        signed_sides=draw(st.booleans()),
        tags=draw(st.sampled_from([dict(TAGS), {"p": "spin_rpm", "r": "launch_rad"}])),
        decimal_mark=draw(st.sampled_from([".", ","])),
        language=language,
    )


@st.composite
def shots(draw: st.DrawFn, form: LineForm) -> Typed:
    """A shot that the form can hold: its figures are whole hundredths of the form's units."""
    places = sorted({*form.order, *form.tags.values()})
    values = {}
    for name in draw(st.lists(st.sampled_from(places), unique=True)):
        figure, factor = FIGURES[name], form.factor_of(name)
        low, high = figure.low / factor * 100, figure.high / factor * 100
        values[name] = draw(st.integers(int(low) + 1, int(high) - 1)) / 100 * factor
    mark, reasons = draw(
        st.sampled_from([("mishit", MISHITS), ("bad-read", ("", "net", "net hit first")), ("", ("",))])
    )
    if not values and not mark:
        values = {form.order[0]: FIGURES[form.order[0]].example}
    least = draw(st.booleans()) and "carry_m" in form.order and "carry_m" in values
    return Typed(
        values=values,
        swing=draw(st.sampled_from([None, *SWINGS])),
        mark=mark,  # type: ignore[arg-type]
        reason=draw(st.sampled_from(reasons)),
        carry_at_least=least,
    )


@given(st.data())
def test_there_and_back(data: st.DataObject) -> None:
    form = data.draw(forms())
    places = {*form.order, *form.tags.values()}
    typed = data.draw(shots(form))
    assert set(typed.values) <= places
    again = parse_line(write_line(typed, form), form)
    assert again.values.keys() == typed.values.keys()
    for name, value in typed.values.items():
        assert again.values[name] == pytest.approx(value, abs=0.0051 * form.factor_of(name))
    assert (again.swing, again.mark, again.reason, again.carry_at_least) == (
        typed.swing,
        typed.mark,
        typed.reason,
        typed.carry_at_least,
    )


@given(forms())
def test_a_form_and_its_example_come_back(form: LineForm) -> None:
    assert load_form(json.loads(json.dumps(dump_form(form)))) == form
    assert tuple(parse_line(example(form), form).values) == form.order


PIECES = st.sampled_from(
    ["168", "12R", "R12", "12", "R", "L12", "-12", "0", "-", ".", ">210", "84,5", "6,200", "s6200", "l18",
     "gd", "heavy", "th", "bad", "net", "1e9", "∞", "١٢", "İ12", "12İ", "<b>", "12R12", "--", "99999999999"]
)  # fmt: skip


def tried(text: str, form: LineForm) -> tuple[Typed | None, LineError | None]:
    try:
        return parse_line(text, form), None
    except LineError as error:
        return None, error


@given(forms(), st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=7).map(" ".join)))
def test_whatever_is_typed_is_a_shot_within_limits_or_an_error_that_points(form: LineForm, text: str) -> None:
    typed, error = tried(text, form)
    if typed is None:
        assert error is not None
        assert 0 <= error.start <= error.end <= len(text)
        assert error.message
        assert error.next_step
        return
    assert typed.values or typed.mark
    for name, value in typed.values.items():
        assert FIGURES[name].low <= value <= FIGURES[name].high
    side = typed.values.get("offline_m", 0.0)
    said = any(word.lower() in text.lower() for word in (*form.left, *form.right))
    assert side == 0.0 or form.signed_sides or said, "a side that nobody said"


leaves = st.one_of(
    st.none(), st.booleans(), st.integers(), st.text(max_size=8), st.sampled_from([*NAMES, "yd", "L"])
)
keys = st.one_of(st.text(max_size=8), st.sampled_from([*NAMES, "s", "p"]))
anything = st.recursive(
    leaves,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(keys, inner, max_size=4)),
    max_leaves=12,
)


@given(st.sampled_from(sorted(dump_form(LineForm.usual()))), anything)
def test_a_hostile_form_is_refused_or_whole(key: str, value: Any) -> None:
    try:
        form = load_form({**dump_form(LineForm.usual()), key: value})
    except InputError:
        return
    assert load_form(dump_form(form)) == form
    assert parse_line(example(form), form).values
