"""Cells: a number, nothing, or a named error, never a guess."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagwright.shots.cells import CellError, TwoReadingsError, decimal_evidence, read_cell
from bagwright.shots.quantities import BY_NAME, QUANTITIES

CARRY, SIDE, SPIN = BY_NAME["carry_m"], BY_NAME["offline_m"], BY_NAME["spin_rpm"]
SPEED, APEX = BY_NAME["ball_speed_mps"], BY_NAME["apex_m"]


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("150", 150.0),
        ("150.5", 150.5),
        ("12,5", 12.5),
        ("-3.2", -3.2),
        ("−3.2", -3.2),
        ("+3.2", 3.2),
        (" 7 ", 7.0),
        ("1,234.5", 1234.5),
        ("1.234,5", 1234.5),
        ("1,234,567", 1234567.0),
        ("1.234.567", 1234567.0),
        ("1 234,5", 1234.5),
        ("1'234.5", 1234.5),
        ("1\u202f234", 1234.0),
        (".5", 0.5),
        (",5", 0.5),
        ("5.", 5.0),
        ("1.2E+02", 120.0),
        ("1e2", 100.0),
        ("007", 7.0),
        ("0,125", 0.125),
        ("0.125", 0.125),
        ("1234,567", 1234.567),
    ],
)
def test_numbers_that_have_one_reading(text: str, value: float) -> None:
    for comma in (None, False, True):
        if comma and text == "5.":
            continue
        assert read_cell(text, SIDE, comma).value == value


@pytest.mark.parametrize(
    ("text", "comma", "value"),
    [
        ("1,234", True, 1.234),
        ("1,234", False, 1234.0),
        ("1.234", True, 1234.0),
        ("1.234", False, 1.234),
        ("1.234", None, 1.234),
        ("6.512", True, 6512.0),
    ],
)
def test_numbers_read_by_the_files_decimal_mark(text: str, comma: bool | None, value: float) -> None:
    assert read_cell(text, SPIN, comma).value == value


def test_two_readings_are_never_guessed() -> None:
    with pytest.raises(TwoReadingsError):
        read_cell("1,234", SPIN, None)


@pytest.mark.parametrize(
    "text", ["", " ", "-", "--", "–", "—", "n/a", "N/A", "nan", "NaN", "null", "None", "…"]
)
def test_cells_that_say_not_measured(text: str) -> None:
    cell = read_cell(text, CARRY, None)
    assert math.isnan(cell.value)
    assert not cell.at_least


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("inf", "not a finite number"),
        ("-Infinity", "not a finite number"),
        ("1e400", "not a finite number"),
        ("0x10", "not a number"),
        ("1_000", "not a number"),
        ("١٢", "digits 0 to 9"),
        ("１２", "digits 0 to 9"),
        ("12 abc", "neither a unit nor a side"),
        ("1.2.3", "not a number"),
        ("1,2,3", "not a number"),
        ("1.23,45.6", "not a number|do not fit"),
        ("1,23.456", "do not fit"),
        ("12 34", "not a number"),
        ("--5", "not a number"),
        ("5-", "not a number"),
        ("(3.2)", "not a number"),
        ("=1+1", "not a number"),
        ("3.2L", "is a side, but carry has none"),
        ("150 mph", "mph is no unit of carry"),
        ("1" * 70, "too long"),
        ("150 yd m", "neither"),
        ("½", "not a number"),
        ("5²", "neither a unit"),
    ],
)
def test_cells_that_cannot_be_read_say_why(text: str, reason: str) -> None:
    with pytest.raises(CellError, match=reason):
        read_cell(text, CARRY, False)


@pytest.mark.parametrize(
    ("text", "value", "side"),
    [
        ("12 R", 12.0, 1),
        ("3.2L", -3.2, -1),
        ("L 8.5", -8.5, -1),
        ("R8.5", 8.5, 1),
        ("8,5 links", -8.5, -1),
        ("8.5 Right", 8.5, 1),
        ("-4 L", -4.0, -1),
        ("+4 R", 4.0, 1),
        ("0 L", 0.0, -1),
        ("0 C", 0.0, 0),
        ("4 r.", 4.0, 1),
    ],
)
def test_sides_by_letter(text: str, value: float, side: int) -> None:
    cell = read_cell(text, SIDE, None)
    assert (cell.value, cell.side) == (value, side)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("-12 R", "contradict"),
        ("+3.2L", "contradict"),
        ("3 C", "centre"),
        ("3 L R", "neither"),
        ("3 toe", "neither"),
    ],
)
def test_sides_that_contradict_themselves(text: str, reason: str) -> None:
    with pytest.raises(CellError, match=reason):
        read_cell(text, SIDE, None)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("151.2 m", "m", 151.2),
        ("151.2m", "m", 151.2),
        ("165yds", "yd", 165.0),
        ("88 ft", "ft", 88.0),
        ("90'", "ft", 90.0),
    ],
)
def test_units_in_cells(text: str, unit: str, value: float) -> None:
    cell = read_cell(text, APEX, None)
    assert cell.unit is not None
    assert (cell.value, cell.unit.name) == (value, unit)


def test_unit_and_side_in_one_cell() -> None:
    cell = read_cell("3.5 m L", SIDE, None)
    assert cell.unit is not None
    assert (cell.value, cell.unit.name, cell.side) == (-3.5, "m", -1)
    speed = read_cell("170 km/h", SPEED, None)
    assert speed.unit is not None
    assert speed.unit.name == "kmh"


def test_feet_and_inches_by_the_yard_of_1959() -> None:
    assert read_cell("88' 6\"", APEX, None).value == pytest.approx((88 * 12 + 6) * 0.0254, rel=1e-15)


@pytest.mark.parametrize("text", [">230", "> 230", "230+", "230 +", "≥230", ">=230", "230+ yd"])
def test_lower_bounds_of_a_carry(text: str) -> None:
    cell = read_cell(text, CARRY, None)
    assert (cell.value, cell.at_least) == (230.0, True)
    with pytest.raises(CellError, match="lower bound"):
        read_cell(text.removesuffix(" yd"), SPIN, None)


@pytest.mark.parametrize(
    ("text", "mark"),
    [("12,5", ","), ("12.5", "."), ("1,234", ""), ("1.234", ""), ("1.234,5", ","), ("12", ""), ("x", "")],
)
def test_evidence_of_the_decimal_mark(text: str, mark: str) -> None:
    assert decimal_evidence(text) == mark


@given(st.text(max_size=30), st.sampled_from(QUANTITIES), st.sampled_from((None, True, False)))
def test_any_text_is_a_finite_number_nothing_or_a_reason(
    text: str, quantity: object, comma: bool | None
) -> None:
    try:
        cell = read_cell(text, quantity, comma)  # type: ignore[arg-type]
    except CellError as error:
        reason = str(error)
    else:
        reason = "read"
        assert not math.isinf(cell.value)
    assert reason


@given(st.floats(-1e6, 1e6, allow_nan=False))
def test_every_number_that_a_program_prints_is_read_exactly(value: float) -> None:
    assert read_cell(repr(value), BY_NAME["backspin_rpm"], False).value == value
