"""All pictures of a course on one page that opens from the disk, without a script and without the network."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bagwright.course.hole import Course, Question
from bagwright.report.holes.picture import Picture, hole_styles
from bagwright.report.holes.words import HEADINGS, HoleWords
from bagwright.report.holes.xml import el, said
from bagwright.words import reader_language, tell

_PAGE_CSS = """
body { margin: 0 auto; max-width: 72rem; padding: 1rem; font-family: "Source Sans 3", system-ui, sans-serif;
  line-height: 1.45; color: #15191d; background: #fbfaf6; }
section { display: grid; grid-template-columns: minmax(0, 520px) minmax(0, 1fr); gap: 1.5rem; margin: 2rem 0;
  break-inside: avoid; }
svg { width: 100%; height: auto; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
th, td { text-align: left; padding: 0.2rem 0.7rem 0.2rem 0; border-bottom: 1px solid #c3c9cf; }
td.figure, th.figure { text-align: right; }
@media (max-width: 48rem) { section { grid-template-columns: minmax(0, 1fr); }
  th, td { padding-right: 0.35rem; font-size: 0.92rem; } }
@media screen and (prefers-color-scheme: dark) { body { color: #f3f5f7; background: #101418; }
  th, td { border-color: #3b4550; } }
"""


def holes_page(course: Course, pictures: Sequence[Picture]) -> str:
    """Write the page: for every hole the picture, and beside it the same in words."""
    jumps = ", ".join(el("a", f"{picture.number}", href=f"#hole-{picture.number}") for picture in pictures)
    questions = "".join(_open(question) for question in course.questions)
    body = [
        el("h1", said(course.name, 120)),
        el("p", said(tell("Holes:")), " ", jumps),
        el("h2", said(tell("What is open"))) + el("ul", questions) if questions else "",
        *(_section(picture, _readings(course, picture.number)) for picture in pictures),
        el("p", said(course.credit)) if course.credit else "",
    ]
    head = [
        '<meta charset="utf-8"/><meta name="viewport" content="width=device-width, initial-scale=1"/>',
        el("title", said(tell("Holes of {course}", course=course.name), 140)),
        el("style", hole_styles() + _PAGE_CSS),
    ]
    return (
        "<!doctype html>\n" + el("html", el("head", *head), el("body", *body), lang=reader_language()) + "\n"
    )


def _open(question: Question) -> str:
    """One open question with its place, which is said once where the words begin with it."""
    where = tell("Hole {number}", number=question.hole) if question.hole else tell("Course")
    words = question.words
    if question.hole and re.match(re.escape(where) + r"\b", words):
        words = words[len(where) :].lstrip(" :")
    line = tell(
        "{where}: {words} Read as: {read_as} {answer}",
        where=where, words=words, read_as=question.read_as, answer=question.answer,
    )  # fmt: skip
    return el("li", said(line))


def _readings(course: Course, number: int) -> list[str]:
    """Give how the words of a card were read for one hole; nothing for a map."""
    return [said(text) for key, text in course.notes.items() if key.startswith(f"read {number} ")]


def _section(picture: Picture, readings: Sequence[str] = ()) -> str:
    words = picture.words
    told = [el("h2", said(words.title, 90), id=f"hole-{picture.number}")]
    told += [el("p", said(sentence)) for sentence in words.sentences]
    if readings:
        told.append(el("p", said(tell("The card's words, and how they were read (in the card's unit):"))))
        told.append(el("ul", *(el("li", reading) for reading in readings)))
    return el("section", el("div", picture.svg), el("div", *told, words_table(words)))


def words_table(words: HoleWords) -> str:
    """Write what lies in play as a table."""
    if not words.rows:
        return el("p", said(tell("Nothing lies in play beside the grass and the trees.")))
    head = "".join(
        el("th", said(name), scope="col", cls="figure" if i > 1 else None) for i, name in enumerate(HEADINGS)
    )
    rows = "".join(
        el("tr", *(el("td", said(cell), cls="figure" if i > 1 else None) for i, cell in enumerate(row)))
        for row in words.rows
    )
    caption = el("caption", said(tell("In play, distances in {unit} from the tee", unit=words.unit)))
    return el("table", caption, el("thead", el("tr", head)), el("tbody", rows))
