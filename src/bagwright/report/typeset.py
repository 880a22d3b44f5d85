"""From plain data and a template to a tagged PDF: the same bytes for the same input, and no network."""

from __future__ import annotations

import datetime
import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from bagwright.errors import InputError, MachineError
from bagwright.report.safe import FONTS, drawable, without_glyph
from bagwright.words import tell

if TYPE_CHECKING:
    from types import ModuleType

TEMPLATES = Path(__file__).parent / "templates"
STANDARD = "ua-1"
"""PDF/UA-1 (ISO 14289-1:2014): tagged, so that a screen reader reads it in order."""

PAPERS: dict[str, str] = {"a4": "a4", "letter": "us-letter"}
Paper = Literal["a4", "letter"]

_MONTHS = (
    *(tell("January"), tell("February"), tell("March"), tell("April"), tell("May"), tell("June")),
    *(tell("July"), tell("August"), tell("September"), tell("October"), tell("November"), tell("December")),
)


def day_of(date: datetime.date | str) -> datetime.date:
    """Give the day to print, from a date or text like "2026-05-09". Raises InputError for anything else."""
    if isinstance(date, datetime.datetime):
        return date.date()
    if isinstance(date, datetime.date):
        return date
    try:
        return datetime.date.fromisoformat(date.strip())
    except ValueError as error:
        raise InputError(
            tell('"{date}" is not a date.', date=date[:40]), tell('Write it like "2026-05-09".')
        ) from error


def spelled(day: datetime.date) -> str:
    """Give a day that nobody reads the wrong way round: "9 May 2026"."""
    return tell("{day} {month} {year}", day=day.day, month=_MONTHS[day.month - 1], year=str(day.year))


def paper_name(paper: str) -> str:
    """Give the typesetter's name of a paper size. Raises InputError naming the sizes there are."""
    try:
        return PAPERS[paper.lower()]
    except KeyError as error:
        raise InputError(
            tell('"{paper}" is not a paper size.', paper=paper[:20]), tell("Choose a4 or letter.")
        ) from error


def typeset_pdf(template: str, data: Mapping[str, Any], day: datetime.date) -> bytes:
    """Give a tagged PDF of `template` filled with `data`; `day` is its only date.

    Text that the bundled fonts cannot draw is set in the machine's own fonts; where those cannot either, an
    empty box stands for the letter. Raises MachineError where the typesetter is missing or fails.
    """
    made = _typeset(template, data, format="pdf", pdf_standards=[STANDARD], timestamp=_seconds(day))
    return bytes(made)


def typeset_pages(template: str, data: Mapping[str, Any], ppi: float = 96.0) -> list[bytes]:
    """Give the same pages as PNG pictures, for looking at them."""
    pages = _typeset(template, data, format="png", ppi=ppi)
    return pages if isinstance(pages, list) else [pages]


def _seconds(day: datetime.date) -> int:
    noon = datetime.datetime(day.year, day.month, day.day, 12, tzinfo=datetime.UTC)
    return int(noon.timestamp())


def _typeset(template: str, data: Mapping[str, Any], **options: Any) -> Any:
    typst = _typst()
    text = json.dumps(data, ensure_ascii=False, sort_keys=True)
    foreign = bool(without_glyph(text))
    tries = ((text, False), (drawable(text), True)) if foreign else ((text, True),)
    for content, bundled_only in tries:
        try:
            return typst.compile(
                str(TEMPLATES / template),
                root=str(TEMPLATES),
                font_paths=[str(FONTS)],
                ignore_system_fonts=bundled_only,
                sys_inputs={"data": content},
                **options,
            )
        except (RuntimeError, OSError) as error:
            if "could not be displayed" in str(error) and not bundled_only:
                continue
            raise MachineError(
                tell("The paper could not be typeset ({first_line}).", first_line=_first_line(error)),
                tell("Please report this with the input that led to it."),
            ) from error
    raise AssertionError("the last try returns or raises")


def _first_line(error: Exception) -> str:
    return (str(error).strip().splitlines() or [""])[0][:200]


def _typst() -> ModuleType:
    try:
        import typst
    except ImportError as error:
        raise MachineError(
            tell("The typesetter (typst) is missing or broken."), tell("Install bagwright again.")
        ) from error
    module: ModuleType = typst
    return module
