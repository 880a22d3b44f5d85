"""From sections in the words of their files to one table of shots in our own."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import chain
from pathlib import PurePath
from typing import TYPE_CHECKING

from bagwright.bag.club import Bag
from bagwright.shots.asking import Asker
from bagwright.shots.clubs import ClubNames, Spelled
from bagwright.shots.record import MEASURES, Mark, ShotTable
from bagwright.shots.result import Rejected
from bagwright.shots.section import Section
from bagwright.shots.texts import (
    change_in_note,
    change_text,
    clean,
    lie_word,
    mark_in_column,
    mark_in_note,
    shown,
    swing_word,
    unescaped,
)
from bagwright.shots.words import BUILD_COLUMNS
from bagwright.words import tell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_DATE = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:[T ].*)?|([0-9]{1,2}[./-][0-9]{1,2}[./-][0-9]{2,4})(?: .*)?"
)


@dataclass(slots=True)
class Part:
    """A section with what its file says of all its shots, and which of its rows stay."""

    section: Section
    source: int
    visit: str
    keep: NDArray[np.bool_]
    facts: dict[str, str] = field(default_factory=dict)


def each(cells: Sequence[str], change: Callable[[str], str]) -> list[str]:
    """Change every cell, every spelling once."""
    known = {text: change(text) for text in set(cells)}
    if len(known) == 1:
        return list(known.values()) * len(cells)
    return [known[text] for text in cells]


def assemble(parts: Sequence[Part], bag: Bag | None, asker: Asker) -> tuple[ShotTable, dict[str, int]]:
    """One table of all rows that stay, and the names that are no known club with their number of shots."""
    import numpy as np

    files = tuple(dict.fromkeys(part.section.file for part in parts))
    measures = {
        name: np.concatenate([_measure(part, name) for part in parts])
        for name in MEASURES
        if any(name in part.section.measures for part in parts)
    }
    texts: dict[str, Sequence[str]] = {
        "club": _clubs(parts, names := ClubNames(bag, asker)),
        "visit": list(chain.from_iterable(_visits(part) for part in parts)),
    }
    for name, change in _TEXTS.items():
        if any(name in part.section.texts for part in parts):
            texts[name] = list(chain.from_iterable(each(_kept(part, name), change) for part in parts))
    _stamp_changes(texts)
    counts = {}
    if names.unknown:
        counts = {club: n for club, n in Counter(texts["club"]).items() if club in names.unknown}
    rows = [np.concatenate(part.section.rows)[part.keep] for part in parts if part.section.rows]
    n = int(sum(part.keep.sum() for part in parts))
    bounds = [_bounds(part) for part in parts]
    table = ShotTable(
        n=n,
        order=_orders(parts, texts["visit"], n),
        measures=measures,
        texts=texts,
        carry_at_least=np.concatenate(bounds) if bounds and any(b.any() for b in bounds) else None,
        marks=_marks(parts),
        files=files,
        source_file=np.concatenate(
            [np.full(int(p.keep.sum()), files.index(p.section.file), dtype=np.int64) for p in parts]
        ) if parts else None,
        source_row=np.concatenate(rows) if rows else np.zeros(0, dtype=np.int64),
    )  # fmt: skip
    return table, counts


def _text(text: str) -> str:
    return clean(unescaped(text), 2_000)


_TEXTS: dict[str, Callable[[str], str]] = {
    "setting": lambda text: clean(unescaped(text)),
    "swing": lambda text: swing_word(unescaped(text)),
    "ball": lambda text: clean(unescaped(text)),
    "lie": lambda text: lie_word(unescaped(text)),
    "note": _text,
    "change": lambda text: change_text(unescaped(text)),
}


def _kept(part: Part, name: str) -> list[str]:
    cells = part.section.texts.get(name)
    if not cells:
        return [""] * int(part.keep.sum())
    if part.keep.all():
        return cells
    return [cell for cell, keep in zip(cells, part.keep.tolist(), strict=True) if keep]


def _measure(part: Part, name: str) -> NDArray[np.float64]:
    import numpy as np

    pieces = part.section.measures.get(name)
    if not pieces:
        return np.full(int(part.keep.sum()), np.nan)
    return np.concatenate(pieces)[part.keep]


def _bounds(part: Part) -> NDArray[np.bool_]:
    import numpy as np

    pieces = part.section.bounds
    if not pieces:
        return np.zeros(int(part.keep.sum()), dtype=np.bool_)
    return np.concatenate(pieces)[part.keep]


def _clubs(parts: Sequence[Part], names: ClubNames) -> list[str]:
    """Name the build of every shot; every spelling is looked up once."""
    blank = ("",) * len(BUILD_COLUMNS)
    spelled: list[tuple[Sequence[str] | Sequence[Spelled], dict[str, Spelled] | None]] = []
    file_of: dict[Spelled, str] = {}
    for part in parts:
        clubs = _kept(part, "club")
        beside = [name for name in BUILD_COLUMNS if name in part.section.texts]
        if beside:
            filled = [each(_kept(part, name), unescaped) for name in BUILD_COLUMNS]
            rows: list[Spelled] = list(zip(each(clubs, unescaped), zip(*filled, strict=True), strict=True))
            spelled.append((rows, None))
            new = dict.fromkeys(rows)
        else:
            own: dict[str, Spelled] = {club: (unescaped(club), blank) for club in dict.fromkeys(clubs)}
            spelled.append((clubs, own))
            new = dict.fromkeys(own.values())
        for one in new:
            file_of.setdefault(one, part.section.file)
    labels = names.labels(list(file_of), file_of)
    found: list[str] = []
    for cells, own_of in spelled:
        if own_of is None:
            found.extend([labels[one] for one in cells])  # type: ignore[index]
        else:
            label_of = {club: labels[one] for club, one in own_of.items()}
            found.extend([label_of[club] for club in cells])  # type: ignore[index]
    return found


def _visits(part: Part) -> list[str]:
    texts = part.section.texts
    if "visit" in texts:
        return each(_kept(part, "visit"), lambda text: clean(unescaped(text)))
    if "date" in texts:
        return each(_kept(part, "date"), lambda text: _day(text) or part.visit)
    if "time_of_day" in texts:
        return each(_kept(part, "time_of_day"), lambda text: _day(text) or part.visit)
    return [part.visit] * int(part.keep.sum())


def _day(text: str) -> str:
    """Return the date in a cell, as written; "" when there is none."""
    match = _DATE.fullmatch(text.strip())
    return (match[1] or match[2]) if match else ""


def visit_of(file: str, sheet: str, facts: dict[str, str]) -> str:
    """Name the visit of a table that does not: by its date, its sheet if that is a date, or its file."""
    return facts.get("date") or _day(sheet) or clean(PurePath(file).stem, 60)


def _orders(parts: Sequence[Part], visits: Sequence[str], n: int) -> NDArray[np.int64]:
    """Return number of each ball in its visit.

    The table's own numbers where each occurs once in its visit; else by the clock where all times of the
    visit are there; else as the rows stand.
    """
    import numpy as np

    has = {name: any(name in part.section.texts for part in parts) for name in ("order", "time_of_day")}
    given = _numbers([c for part in parts for c in _kept(part, "order")]) if has["order"] else None
    clock = [c for part in parts for c in _kept(part, "time_of_day")] if has["time_of_day"] else None
    order = np.zeros(n, dtype=np.int64)
    index = {name: i for i, name in enumerate(dict.fromkeys(visits))}
    if len(index) == 1:
        by_visit = [np.arange(n)]
    else:
        where = np.fromiter(map(index.__getitem__, visits), dtype=np.int64, count=n)
        by_visit = np.split(np.argsort(where, kind="stable"), np.cumsum(np.bincount(where))[:-1]) if n else []
    for rows in by_visit:
        own = given[rows] if given is not None else None
        if own is not None and (own > 0).all() and len(np.unique(own)) == len(own):
            order[rows] = own
        elif clock is not None and (ranks := _by_clock([clock[j] for j in rows.tolist()])) is not None:
            order[rows] = ranks
        else:
            order[rows] = np.arange(1, len(rows) + 1)
    return order


def _numbers(cells: Sequence[str]) -> NDArray[np.int64] | None:
    """Whole numbers of a column, 0 where a cell holds none; None when the column is empty."""
    import numpy as np

    if not any(cells):
        return None
    plain = [cell.strip().removesuffix(".0") for cell in cells]
    return np.array(
        [int(c) if c.isascii() and c.isdigit() and len(c) < 16 else 0 for c in plain], dtype=np.int64
    )


def _by_clock(cells: list[str]) -> list[int] | None:
    """Ranks by ISO or 24-hour times; None when a time is missing, of another form, or not told apart."""
    form = re.compile(r"(?:[0-9]{4}-[0-9]{2}-[0-9]{2}[T ])?[0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?")
    if len(set(cells)) != len(cells) or len({len(cell) for cell in cells}) != 1:
        return None
    if not all(form.fullmatch(cell) for cell in cells):
        return None
    ranks = [0] * len(cells)
    for rank, i in enumerate(sorted(range(len(cells)), key=cells.__getitem__), start=1):
        ranks[i] = rank
    return ranks


def _stamp_changes(texts: dict[str, Sequence[str]]) -> None:
    """Return a note that stamps a change ("tip: weaker grip") counts as the change where none is given."""
    if "note" not in texts:
        return
    if not any(change_in_note(note) for note in set(texts["note"])):
        return
    stamped = each(texts["note"], change_in_note)
    given = texts.get("change", [""] * len(stamped))
    texts["change"] = [own or noted for own, noted in zip(given, stamped, strict=True)]


def _marks(parts: Sequence[Part]) -> dict[int, Mark]:
    """Return the marks of the files: from a column of marks, else from notes that are a mark's word."""
    marks: dict[int, Mark] = {}
    start = 0
    for part in parts:
        notes = _kept(part, "note") if "note" in part.section.texts else []
        known = {text: mark for text in set(notes) if (mark := mark_in_note(unescaped(text))) is not None}
        if known:
            marks.update({start + i: known[note] for i, note in enumerate(notes) if note in known})
        if "mark" in part.section.texts:
            _own_marks(part, start, marks)
        start += int(part.keep.sum())
    return marks


def _own_marks(part: Part, start: int, marks: dict[int, Mark]) -> None:
    columns = [
        each(_kept(part, n), unescaped) for n in ("mark", "mark_reason", "mark_author", "mark_probability")
    ]
    for i, (word, reason, author, chance) in enumerate(zip(*columns, strict=True)):
        mark = mark_in_column(word)
        if mark is None:
            # The table has a column of marks: a blank there means that there is none, whatever the note says.
            marks.pop(start + i, None)
            continue
        marks[start + i] = Mark(
            mark.kind, clean(reason) or mark.reason, clean(author) or "file", _chance(chance)
        )


def _chance(cell: str) -> float | None:
    try:
        value = float(cell) if re.fullmatch(r"[0-9.]{1,24}(?:e-[0-9]{1,3})?", cell) else None
    except ValueError:
        return None
    return value if value is not None and 0.0 <= value <= 1.0 else None


def bad_marks(section: Section) -> list[tuple[int, Rejected]]:
    """Rows whose cell in a column of marks is no mark: position in the section, and the account of it."""
    cells = section.texts.get("mark", [])
    wrong = {text for text in set(cells) if not _is_mark(text)}
    if not wrong:
        return []
    import numpy as np

    rows = np.concatenate(section.rows)
    column = section.layout.columns[section.layout.texts["mark"][0]].header
    reason = tell("no mark: warm-up, mishit or bad-read")
    return [
        (i, Rejected(section.file, int(rows[i]), shown(column), shown(text), reason))
        for i, text in enumerate(cells)
        if text in wrong
    ]


def _is_mark(text: str) -> bool:
    try:
        mark_in_column(unescaped(text))
    except ValueError:
        return False
    return True
