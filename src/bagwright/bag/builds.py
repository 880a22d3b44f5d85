"""When two clubs are the same build: builds are what is compared, and they never merge by number."""

from __future__ import annotations

from dataclasses import fields

from bagwright.bag.club import Build, Club
from bagwright.bag.spelling import clean_text

BuildKey = tuple[tuple[str, str | float | None], ...]


def build_key(club: Club) -> BuildKey:
    """Everything that makes a club the build it is, comparable and hashable.

    Texts are compared without case and extra blanks; numbers to a millionth, so that a length entered in
    inches equals the same length in centimetres. What is not known equals only what is not known either. Kind
    and number do not count: a head stamped 7 with a wedge's loft is what it is.
    """
    return tuple((field.name, _comparable(getattr(club.build, field.name))) for field in fields(Build))


def same_build(a: Club, b: Club) -> bool:
    """Tell whether two clubs are one build: nothing known of them differs, and the same things are known."""
    return build_key(a) == build_key(b)


def changed_fields(a: Club, b: Club) -> tuple[str, ...]:
    """List the fields of the build in which b differs from a, unknown against known included."""
    return tuple(name for (name, old), (_, new) in zip(build_key(a), build_key(b), strict=True) if old != new)


def _comparable(value: object) -> str | float | None:
    if isinstance(value, str):
        return clean_text(value) or None
    if isinstance(value, float | int):
        return round(float(value), 6)
    return None
