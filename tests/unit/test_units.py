"""Quantities as people write them; mixing dimensions is an error; nothing is guessed."""

import math
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bagwright.errors import InputError
from bagwright.units import (
    Dimension,
    celsius,
    distance_unit,
    fahrenheit,
    find_unit,
    height_unit,
    parse_density_kg_m3,
    parse_pressure_pa,
    parse_quantity,
    parse_temperature_k,
    speed_unit,
)

SPELLINGS = {
    "yd": ("yd", "Yds", "YARDS", "yard", "y", " yds. "),
    "m": ("m", "M", "metres", "Meter", "mtrs"),
    "ft": ("ft", "feet", "Foot", "'", "′"),
    "in": ("in", "inch", "Inches", '"', "″"),
    "mph": ("mph", "MPH", "mi/h", "miles per hour"),
    "kmh": ("km/h", "kph", "kmh", "km/hr"),
    "mps": ("m/s", "mps", "m/sec"),
    "deg": ("deg", "°", "º", "degrees", "degs"),
    "rpm": ("rpm", "RPM", "rev/min", "r/min"),
    "s": ("s", "sec", "seconds"),
    "kn": ("kn", "knots", "kt"),
}


@pytest.mark.parametrize(
    ("name", "spelling"), [(n, s) for n, spellings in SPELLINGS.items() for s in spellings]
)
def test_usual_spellings(name: str, spelling: str) -> None:
    unit = find_unit(spelling)
    assert unit is not None
    assert unit.name == name


@pytest.mark.parametrize("text", ["", " ", "furlong", "yd m", "0", "mphh", "\x00", "ｍ", "yd" * 1000])
def test_what_is_no_unit(text: str) -> None:
    assert find_unit(text) is None


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("176 mph", "speed", 176 * 0.44704),
        ("176mph", "speed", 176 * 0.44704),
        ("41,5 m/s", "speed", 41.5),
        ("151.2 m", "length", 151.2),
        ("165 yd", "length", 165 * 0.9144),
        ("5 ft 10 in", "length", 70 * 0.0254),
        ("5'10\"", "length", 70 * 0.0254),
        ("10deg", "angle", math.radians(10)),
        ("-3.5°", "angle", math.radians(-3.5)),
        ("−3.5 deg", "angle", math.radians(-3.5)),
        ("2520 rpm", "rotation", 2520.0),
        ("6.2 s", "time", 6.2),
    ],
)
def test_quantities(text: str, dimension: Dimension, value: float) -> None:
    assert parse_quantity(text, dimension) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension", "words"),
    [
        ("176", "speed", "has no unit"),
        ("176 yd", "speed", "not a unit of speed"),
        ("10 mph", "length", "not a unit of length"),
        ("ten yards", "length", "not a quantity"),
        ("", "length", "not a quantity"),
        ("nan m", "length", "not a quantity"),
        ("inf m", "length", "not a quantity"),
        ("1e400 m", "length", "not a (quantity|unit)"),
        ("0x10 m", "length", "not a (quantity|unit)"),
        ("1_000 m", "length", "not a (quantity|unit)"),
        ("١٢ m", "length", "."),
        ("1,234.5 m", "length", "not a (quantity|unit)"),
        ("5 furlongs", "length", "not a unit"),
        ("9" * 30 + " m", "length", "not a quantity"),
    ],
)
def test_what_is_no_quantity_says_what_would_be(text: str, dimension: Dimension, words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        parse_quantity(text, dimension)
    assert caught.value.next_step.startswith("Write it like")
    assert len(caught.value.message) < 120


@pytest.mark.parametrize("dimension", get_args(Dimension))
def test_units_of_another_dimension_are_refused(dimension: Dimension) -> None:
    for name in SPELLINGS:
        unit = find_unit(name)
        assert unit is not None
        if unit.dimension == dimension:
            assert parse_quantity(f"2 {name}", dimension) == pytest.approx(2 * unit.factor)
        else:
            with pytest.raises(InputError):
                parse_quantity(f"2 {name}", dimension)


def test_a_default_unit_serves_bare_numbers_only() -> None:
    assert parse_quantity("165", "length", "yd") == pytest.approx(150.876)
    assert parse_quantity("165 m", "length", "yd") == 165.0


def test_units_of_the_two_systems() -> None:
    assert [u("yards").name for u in (distance_unit, height_unit, speed_unit)] == ["yd", "ft", "mph"]
    assert [u("metres").name for u in (distance_unit, height_unit, speed_unit)] == ["m", "m", "kmh"]


@given(st.text(max_size=40), st.sampled_from(get_args(Dimension)))
def test_any_text_is_a_finite_quantity_or_an_error(text: str, dimension: Dimension) -> None:
    try:
        value = parse_quantity(text, dimension)
    except InputError as error:
        value = 0.0 if error.next_step else math.inf
    assert math.isfinite(value)


@given(st.integers(-99_999, 99_999), st.sampled_from(("yd", "m", "ft", "mph", "km/h", "deg", "rpm")))
def test_quantities_convert_and_back(tenths: int, name: str) -> None:
    unit = find_unit(name)
    assert unit is not None
    value = parse_quantity(f"{tenths / 10} {name}", unit.dimension)
    assert value / unit.factor == pytest.approx(tenths / 10, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "kelvin"),
    [
        ("50F", 283.15),
        ("50 °F", 283.15),
        ("10C", 283.15),
        ("-5,5 °C", 267.65),
        ("283.15 K", 283.15),
        ("−40F", 233.15),
    ],
)
def test_temperatures(text: str, kelvin: float) -> None:
    assert math.isclose(parse_temperature_k(text), kelvin, rel_tol=1e-12)


def test_pressures_and_densities() -> None:
    assert math.isclose(parse_pressure_pa("1013.25 hPa"), 101325.0)
    # 29.92 inHg is the standard atmosphere's pressure of common usage (NIST SP 811: 1 atm = 101325 Pa).
    assert math.isclose(parse_pressure_pa("29.92inHg"), 101325.0, rel_tol=1e-4)
    assert math.isclose(parse_pressure_pa("760 mmHg"), 101325.0, rel_tol=1e-6)
    assert math.isclose(parse_density_kg_m3("1,2 kg/m³"), 1.2)
    assert math.isclose(parse_density_kg_m3("0.0765 lb/ft3"), 1.2254, rel_tol=1e-4)


@pytest.mark.parametrize("text", ["", "50", "F", "50 yd", "1e9F", "5 0F", "50FF", "\x00", "9" * 400 + "F"])
def test_what_is_no_temperature(text: str) -> None:
    with pytest.raises(InputError, match=r"no unit|not a") as caught:
        parse_temperature_k(text)
    assert "50F" in str(caught.value.next_step)


@pytest.mark.parametrize("text", ["1013", "12 yd", "hPa", "1013 hPahPahPahPahPa"])
def test_what_is_no_pressure(text: str) -> None:
    with pytest.raises(InputError):
        parse_pressure_pa(text)


@given(st.floats(-80, 60))
def test_celsius_and_fahrenheit_go_back(degrees: float) -> None:
    assert math.isclose(celsius(parse_temperature_k(f"{degrees:.4f}C")), degrees, abs_tol=1e-3)
    assert math.isclose(fahrenheit(parse_temperature_k(f"{degrees:.4f}F")), degrees, abs_tol=1e-3)


def test_no_heading_is_taken_for_a_pressure() -> None:
    assert find_unit("hPa") is None
    assert find_unit("F") is None
