"""Overlays written: as text that reads back the same, and to the disk whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from bagwright.course.overlay_record import LIES, HoleChange, Overlay, TeeChange
from bagwright.course.tomltable import Place
from bagwright.files import quoted, write_whole

_NAMES = {lie: name for name, lie in LIES.items()}


def save_overlay(path: str | os.PathLike[str], overlay: Overlay) -> Path:
    """Write an overlay file, whole or not at all. Raises MachineError on a full disk."""
    return write_whole(Path(path), overlay_text(overlay).encode())


def overlay_text(overlay: Overlay) -> str:
    """Give an overlay as the text of its file."""
    lines = ["# Corrections of a course; kept beside its map or card. Keys: docs/courses.md."]
    if overlay.origin is not None:
        lines.append(f"origin = [{overlay.origin[0]!r}, {overlay.origin[1]!r}]")
    lines += _texts(("course", overlay.course), ("name", overlay.name))
    if overlay.answers:
        lines += ["", "[answers]"]
        lines += [f"{_key(key)} = {quoted(answer)}" for key, answer in overlay.answers.items()]
    if overlay.bounds or overlay.no_bounds:
        lines += ["", "[bounds]"]
        lines += ["none = true"] if overlay.no_bounds else []
        lines += [f"shape = {_places(overlay.bounds)}"] if overlay.bounds else []
    for number, hole in overlay.holes.items():
        lines += _hole(number, hole)
    return "\n".join(lines) + "\n"


def _texts(*pairs: tuple[str, str | None]) -> list[str]:
    return [f"{key} = {quoted(value)}" for key, value in pairs if value is not None]


def _numbers(*pairs: tuple[str, float | None]) -> list[str]:
    return [f"{key} = {value!r}" for key, value in pairs if value is not None]


def _hole(number: int, hole: HoleChange) -> list[str]:
    lines = ["", f"[hole.{number}]"]
    lines += _numbers(("par", hole.par), ("stroke_index", hole.stroke_index))
    lines += _texts(("name", hole.name))
    lines += [f"pin = {_place(hole.pin)}"] if hole.pin is not None else []
    lines += _numbers(("pin_height_m", hole.pin_height_m))
    lines += [f"way = {_places(hole.way)}"] if hole.way else []
    lines += [f"trees = {_places(hole.trees)}"] if hole.trees is not None else []
    for tee in hole.tees:
        lines += ["", f"[[hole.{number}.tee]]", *_tee(tee)]
    for area in hole.areas:
        lines += ["", f"[[hole.{number}.area]]", f'do = "{area.do}"', f"source = {quoted(area.source)}"]
        lines += [f'lie = "{_NAMES[area.lie]}"'] if area.lie is not None else []
        lines += [f"shape = {_places(area.shape)}"] if area.shape else []
    if hole.model:
        lines += ["", f"[hole.{number}.model]"]
        lines += [f"{k} = {quoted(v) if isinstance(v, str) else repr(v)}" for k, v in hole.model.items()]
    return lines


def _tee(tee: TeeChange) -> list[str]:
    lines = _texts(("name", tee.name))
    lines += [f"at = {_place(tee.at)}"] if tee.at is not None else []
    lines += _numbers(("height_m", tee.height_m), ("length_m", tee.length_m))
    return lines + (["remove = true"] if tee.remove else [])


def _place(place: Place) -> str:
    if place.degrees:
        return f"{{ lat = {place.a!r}, lon = {place.b!r} }}"
    return f"[{place.a!r}, {place.b!r}]"


def _places(places: Sequence[Place]) -> str:
    return "[" + ", ".join(map(_place, places)) + "]"


def _key(text: str) -> str:
    """Return a TOML key, bare where it may be."""
    bare = text.replace("_", "").replace("-", "")
    return text if bare.isascii() and bare.isalnum() else quoted(text)
