"""Air, wind, ball and turf as typed, one option each or in one line: "temperature=50F,wind=10mph@0deg"."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar, cast, get_args

import click

from bagwright.air import ROUGHNESS_M
from bagwright.errors import InputError
from bagwright.restate.setting import BallName
from bagwright.turf import Firmness, TurfLie
from bagwright.units import (
    RAD_PER_DEG,
    parse_density_kg_m3,
    parse_pressure_pa,
    parse_quantity,
    parse_temperature_k,
)

if TYPE_CHECKING:
    from bagwright.air import Air, Wind
    from bagwright.tasks import Words
    from bagwright.turf import Turf

F = TypeVar("F", bound=Callable[..., Any])
T = TypeVar("T")

SURFACES = tuple(ROUGHNESS_M)
FIRMNESS = get_args(Firmness)
LIES = get_args(TurfLie)
BALLS = get_args(BallName)


def air_options(function: F) -> F:
    """Every word about the air and the wind."""
    for decorate in (
        click.option("--wind-over", type=click.Choice(SURFACES), help="What the wind blows over (grass)."),
        click.option("--wind-height", metavar="HEIGHT", help='Where the wind was felt, "2 m"; a forecast is for 10 m.'),
        click.option("--wind-profile", type=click.Choice(["log", "uniform"]), help="Wind growing with height, or the same everywhere (log)."),
        click.option("--wind", metavar="SPEED@FROM", help='Wind and where it comes from: 0deg head, 90deg from the right; "10mph@0deg".'),
        click.option("--density", metavar="DENSITY", help='Density of the air itself, "1.2kg/m3".'),
        click.option("--humidity", metavar="PERCENT", help='Relative humidity, "50%".'),
        click.option("--pressure", metavar="PRESSURE", help='Pressure at the place itself, "1013hPa" or "29.92inHg".'),
        click.option("--altitude", metavar="HEIGHT", help='Height above the sea, "5280ft"; not beside --pressure.'),
        click.option("--temperature", metavar="T", help='Air temperature, "50F" or "10C".'),
    ):  # fmt: skip
        function = decorate(function)
    return function


def turf_options(function: F) -> F:
    """Where the ball comes down."""
    for decorate in (
        click.option("--green-speed", metavar="FEET", help='Speed of the greens, "10 ft"; with --on green.'),
        click.option("--on", type=click.Choice(LIES), help="Where the ball lands (fairway)."),
        click.option("--turf", type=click.Choice(FIRMNESS), help="How firm it is (normal)."),
    ):
        function = decorate(function)
    return function


def parse_humidity(text: str) -> float:
    """Relative humidity as typed ("50%", "50 %"), as a share. Raises InputError unless 0 to 100 %."""
    number = text.strip().removesuffix("%").strip().replace(",", ".")
    try:
        value = float(number) / 100.0
    except ValueError as error:
        raise InputError(f'"{text[:40]}" is not a humidity.', 'Write it like "50%".') from error
    if not 0.0 <= value <= 1.0:
        raise InputError(f'A humidity of "{text[:40]}" cannot be.', "Expected 0 to 100 percent.")
    return value


def parse_wind(text: str) -> tuple[float, float]:
    """Wind as typed ("10mph@0deg"): speed in m/s and where it comes from in radians, clockwise from ahead.

    Words stand for the four quarters: head, tail, right, left. Raises InputError without both parts.
    """
    speed, sign, where = text.partition("@")
    if not sign:
        raise InputError(
            f'"{text[:40]}" does not say where the wind comes from.',
            'Write it like "10mph@0deg": 0deg is head wind, 90deg from the right, 180deg tail, 270deg from the left.',
        )
    words = {"head": 0.0, "right": 90.0, "tail": 180.0, "left": 270.0}
    named = words.get(where.strip().lower())
    if named is not None:
        return parse_quantity(speed, "speed"), named * RAD_PER_DEG
    try:
        return parse_quantity(speed, "speed"), parse_quantity(where, "angle", "deg")
    except InputError as error:
        if "speed" in error.message:
            raise
        raise InputError(
            f'"{where.strip()[:30]}" is no quarter that a wind comes from.',
            "Use head, tail, left or right, or degrees clockwise from the target line: 0deg head, 90deg from the right.",
        ) from error


def make_air(
    temperature: str | None,
    altitude: str | None,
    pressure: str | None,
    humidity: str | None,
    density: str | None,
) -> Air:
    """The air that the words describe; what is not said is the standard's, and `Air.said` tells which was."""
    from bagwright.air import air

    words = {"temperature": temperature, "altitude": altitude, "pressure": pressure, "humidity": humidity,
             "density": density}  # fmt: skip
    return in_typed_words(
        lambda: air(**air_numbers(words, "--")),
        {_FIELDS[name]: (f"--{name}", text) for name, text in words.items()},
    )


_FIELDS = {
    "temperature": "temperature_k", "altitude": "altitude_m", "pressure": "pressure_pa", "humidity": "humidity",
    "density": "density_kg_m3",
}  # fmt: skip


def air_numbers(words: Mapping[str, str | None], prefix: str) -> dict[str, float]:
    """What was said of the air in SI units, by the arguments of `air`; errors name `prefix` and the word."""
    readers: dict[str, Callable[[str], float]] = {
        "temperature": parse_temperature_k,
        "altitude": _height,
        "pressure": parse_pressure_pa,
        "humidity": parse_humidity,
        "density": parse_density_kg_m3,
    }
    return {
        _FIELDS[name]: _under(f"{prefix}{name}", read, text)
        for name, read in readers.items()
        if (text := words.get(name)) is not None
    }


def in_typed_words(make: Callable[[], T], typed: Mapping[str, tuple[str, str | None]]) -> T:
    """Make something; in an error the field's name and number become the option and what was typed for it."""
    try:
        return make()
    except InputError as error:
        message = error.message
        for field, (option, text) in typed.items():
            if text is not None:
                pattern = rf"(?:\b\w+: )?\b{field} (?:=|is) -?[\d.e+-]+(?: (?:m/s|rad|rpm|m|s)\b)?"
                told = f'{option} "{text[:40]}"'.replace("\\", r"\\")
                message = re.sub(pattern, told, message)
        raise InputError(message, error.next_step) from error


def _height(text: str) -> float:
    try:
        return parse_quantity(text, "length")
    except InputError as error:
        raise InputError(error.message, 'Write it like "5280 ft" or "1600 m".') from error


def make_wind(
    wind: str | None, wind_profile: str | None, wind_height: str | None, wind_over: str | None
) -> Wind:
    """The wind that the words describe; calm when none is named."""
    from bagwright.air import CALM, Wind

    if wind is None:
        if wind_profile or wind_height or wind_over:
            raise InputError("The wind itself was not named.", 'Add --wind "10mph@0deg".')
        return CALM
    speed, from_rad = cast("tuple[float, float]", _under("--wind", parse_wind, wind))
    said: dict[str, Any] = {}
    if wind_profile:
        said["profile"] = wind_profile
    if wind_height:
        said["at_height_m"] = _under("--wind-height", _metres, wind_height)
    if wind_over:
        said["roughness_m"] = ROUGHNESS_M[wind_over]

    def made() -> Wind:
        return Wind(speed, from_rad, **said)

    return in_typed_words(
        made, {"speed_mps": ("--wind", wind), "at_height_m": ("--wind-height", wind_height)}
    )


def make_turf(turf: str | None, on: str | None, green_speed: str | None) -> Turf:
    """The turf that the words describe: normal fairway unless said."""
    from bagwright.turf import Turf
    from bagwright.units import M_PER_FT

    said: dict[str, Any] = {}
    if turf:
        said["firmness"] = turf
    if on:
        said["lie"] = on
    if green_speed:
        said["stimp_ft"] = cast("float", _under("--green-speed", _feet_or_metres, green_speed)) / M_PER_FT
        said.setdefault("lie", "green")
    try:
        return Turf(**said)
    except InputError as error:
        raise InputError(
            error.message, error.next_step.replace("set lie to green", "say --on green")
        ) from error


def _metres(text: str) -> float:
    return parse_quantity(text, "length")


def _feet_or_metres(text: str) -> float:
    return parse_quantity(text, "length", "ft")


def _under(option: str, parse: Callable[[str], Any], text: str | None) -> Any:
    """Parse an option's text, naming the option in the error; None stays None."""
    if text is None:
        return None
    try:
        return parse(text)
    except InputError as error:
        raise InputError(f"{option}: {error.message}", error.next_step) from error


def split_words(text: str, option: str) -> dict[str, str]:
    """Split "temperature=50F,wind=10mph@0deg" into words. Raises InputError for unknown or doubled ones."""
    found: dict[str, str] = {}
    for part in filter(str.strip, text.split(",")):
        name, sign, value = part.partition("=")
        name = name.strip().lower()
        if not sign or name not in SETTING_WORDS:
            raise InputError(
                f'{option}: "{part.strip()[:40]}" is not understood.',
                f"Known words: {', '.join(SETTING_WORDS)}; write them like temperature=50F,altitude=0ft.",
            )
        if name in found:
            raise InputError(f"{option}: {name} is given twice.", "Give it once.")
        found[name] = value.strip()
    return found


SETTING_WORDS = (
    "temperature", "altitude", "pressure", "humidity", "density", "wind", "wind-profile", "wind-height",
    "wind-over", "ball", "turf", "on", "green-speed",
)  # fmt: skip


def make_words(text: str | None, option: str) -> Words:
    """A setting in one line, "temperature=50F,altitude=0ft,wind=10mph@head,ball=range", as far as it is said."""
    said = {} if text is None else split_words(text, option)
    try:
        return _words_of(said, option)
    except InputError as error:
        message, step = (
            re.sub(
                r"--(?=temperature|altitude|pressure|humidity|density|wind|green-speed|on )",
                f"{option} ",
                words,
            )
            for words in (error.message, error.next_step)
        )
        raise InputError(message, step.replace(f'{option} wind "10mph@0deg"', "wind=10mph@head")) from error


def _words_of(said: dict[str, str], option: str) -> Words:
    from bagwright.air import air
    from bagwright.tasks import Words

    rest: dict[str, Any] = {}
    if any(name.startswith("wind") for name in said):
        over = _one_of(said.get("wind-over"), SURFACES, f"{option} wind-over")
        profile = _one_of(said.get("wind-profile"), ("log", "uniform"), f"{option} wind-profile")
        rest["wind"] = make_wind(said.get("wind"), profile, said.get("wind-height"), over)
    if "ball" in said:
        rest["ball"] = _one_of(said["ball"], BALLS, f"{option} ball")
    if any(name in said for name in ("turf", "on", "green-speed")):
        rest["turf"] = make_turf(said.get("turf"), said.get("on"), said.get("green-speed"))
    numbers = air_numbers(said, "--")
    if not numbers:
        return Words(None, rest)
    in_typed_words(lambda: air(**numbers), {_FIELDS[name]: (f"--{name}", said.get(name)) for name in _FIELDS})
    return Words(numbers, rest)


def _one_of(word: str | None, known: tuple[str, ...], option: str) -> str | None:
    if word is not None and word not in known:
        raise InputError(f'{option}: "{word[:30]}" is not known.', f"Use {', '.join(known)}.")
    return word
