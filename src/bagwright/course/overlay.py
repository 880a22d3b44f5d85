"""An overlay's file read: every error names the key that is wrong, and the nearest that is known."""

from __future__ import annotations

import os
from pathlib import Path

from bagwright.course import limits
from bagwright.course.answering import split_name
from bagwright.course.numbers_of_model import LENGTHS, MODEL_KEYS
from bagwright.course.opened import read_bytes
from bagwright.course.overlay_record import LIES, AreaChange, HoleChange, Overlay, TeeChange
from bagwright.course.tomltable import Table, parse_toml, real, unknown
from bagwright.course.values import PARS
from bagwright.errors import InputError
from bagwright.shots.texts import clean
from bagwright.units import M_PER_YD
from bagwright.words import tell

__all__ = ["Overlay", "load_overlay", "overlay_path", "parse_overlay"]

ANSWERED = (
    "course", "bounds", "number", "same number", "way", "turned", "par", "tees", "tee", "start", "green",
    "fairway", "length", "stroke_index", "water width", "missing", "shape", "edge", "unit", "column", "words",
    "rough",
)  # fmt: skip
"""Keys of questions; some go on with a name ("tee white", "words 2")."""


def overlay_path(path: str | os.PathLike[str]) -> Path:
    """Give the name of the overlay beside a map or card: `links.osm` has `links.overlay.toml`."""
    file = Path(path)
    return file.with_name(f"{file.stem}.overlay.toml")


def load_overlay(path: str | os.PathLike[str]) -> Overlay:
    """Read an overlay file. Raises InputError that names the key that is wrong."""
    raw, file = read_bytes(path, limits.OVERLAY_BYTES)
    try:
        return parse_overlay(raw.decode("utf-8-sig"), file)
    except UnicodeDecodeError as error:
        raise InputError(
            tell("{file} is not UTF-8 text (byte {start}).", file=file, start=error.start + 1),
            tell("Save it as UTF-8."),
        ) from error


def parse_overlay(text: str, source: str = "the overlay") -> Overlay:
    """Read the text of an overlay; `source` is the name that errors show."""
    if len(text) > limits.OVERLAY_BYTES:
        raise InputError(
            tell("{source} is larger than an overlay may be.", source=source),
            tell("Take out what is not needed."),
        )
    top = Table(parse_toml(text, source), source, tell("at the top"))
    top.only("origin", "course", "name", "answers", "hole", "bounds")
    edge = top.table("bounds")
    edge.only("shape", "none")
    return Overlay(
        _origin(top), top.text("course"), top.text("name"), _answers(top.table("answers")), _holes(top),
        edge.places("shape", 3), edge.flag("none"),
    )  # fmt: skip


def _origin(top: Table) -> tuple[float, float] | None:
    value = top.data.get("origin")
    if value is None:
        return None
    if not isinstance(value, list) or len(value) != 2 or not (real(value[0], 85.0) and real(value[1], 180.0)):
        raise top.bad("origin", tell("[latitude, longitude] in degrees"))
    return float(value[0]), float(value[1])


def _answers(table: Table) -> dict[str, str]:
    found: dict[str, str] = {}
    for name in table.data:
        key = split_name(name)[1]
        if not any(key == known or key.startswith(f"{known} ") for known in ANSWERED):
            raise unknown(table.source, table.where, name, [name.replace(key, k, 1) for k in ANSWERED])
        answer = table.text(name)
        if answer is not None:
            found[name] = answer
    return found


def _holes(top: Table) -> dict[int, HoleChange]:
    table = top.table("hole")
    found: dict[int, HoleChange] = {}
    for key, value in table.data.items():
        if not (key.isdigit() and key.isascii() and len(key) <= 2 and int(key) >= 1) or int(key) in found:
            raise InputError(
                tell(
                    "{source}: [hole.{key}] is no number of a hole.",
                    source=top.source,
                    key=clean(key[:60], 20),
                ),
                tell("Write [hole.7]."),
            )
        if not isinstance(value, dict):
            raise table.bad(key, tell("a table"))
        found[int(key)] = _hole(Table(value, top.source, tell("in [{key}]", key=f"hole.{key}")), key)
    return found


def _hole(table: Table, key: str) -> HoleChange:
    table.only("par", "stroke_index", "name", "pin", "pin_height_m", "way", "trees", "tee", "area", "model")
    return HoleChange(
        table.whole("par", *PARS), table.whole("stroke_index", 1, 36), table.text("name"), table.place("pin"),
        table.number("pin_height_m", -500.0, 9000.0), table.places("way", 2),
        table.places("trees", 0) if "trees" in table.data else None,
        tuple(_tee(one) for one in table.tables("tee", f"hole.{key}.tee")),
        tuple(_area(one, i) for i, one in enumerate(table.tables("area", f"hole.{key}.area"), start=1)),
        _model(table.table("model")),
    )  # fmt: skip


def _tee(table: Table) -> TeeChange:
    table.only("name", "at", "height_m", "length_m", "length_yd", "remove")
    name = table.text("name", 60)
    if name is None:
        raise table.bad("name", tell("the tee's name in quotes"))
    length, yards = table.number("length_m", 20.0, 2000.0), table.number("length_yd", 20.0, 2200.0)
    if length is not None and yards is not None:
        raise table.bad("length_yd", tell("needed beside length_m"))
    if yards is not None:
        length = yards * M_PER_YD
    return TeeChange(
        name, table.place("at"), table.number("height_m", -500.0, 9000.0), length, table.flag("remove")
    )


def _area(table: Table, number: int) -> AreaChange:
    table.only("do", "source", "lie", "shape")
    do, lie_name, source = table.text("do") or "add", table.text("lie", 20), table.text("source", 80)
    if do not in ("add", "replace", "remove"):
        raise table.bad("do", tell('"add", "replace" or "remove"'))
    if lie_name is not None and lie_name not in LIES:
        raise unknown(table.source, f"{table.where}: lie", lie_name, LIES)
    shape = table.places("shape", 3)
    if do == "add" and (lie_name is None or not shape):
        raise table.bad(
            "shape" if lie_name else "lie", tell("given, as an area that is added needs lie and shape")
        )
    if do == "replace" and (source is None or not (shape or lie_name)):
        raise table.bad("source" if source is None else "shape", tell("given, as a replaced area needs both"))
    if do == "remove" and source is None:
        raise table.bad("source", tell("given, as it says what to take away"))
    lie = None if lie_name is None else LIES[lie_name]
    return AreaChange(do, source or f"overlay/{number}", lie, shape)  # type: ignore[arg-type]


def _model(table: Table) -> dict[str, float | str]:
    table.only(*MODEL_KEYS)
    found: dict[str, float | str] = {}
    words = table.text("words", 1000) if table.data.get("words") != "" else ""
    if words is not None:
        found["words"] = words
    angle = table.number("dogleg_deg", -110.0, 110.0)
    if angle is not None:
        found["dogleg_deg"] = angle
    for name, (low, high) in LENGTHS.items():
        for unit, factor in (("m", 1.0), ("yd", M_PER_YD)):
            value = table.number(f"{name}_{unit}", low / factor, high / factor)
            if value is not None:
                found[f"{name}_{unit}"] = value
    return found
