"""The layout of a table: which column is what, in which unit, with which side positive."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from bagwright.shots.asking import Asker
from bagwright.shots.cells import CellError, TwoReadingsError, decimal_evidence, read_cell, side_of
from bagwright.shots.columns import Column
from bagwright.shots.headers import Heading, plain
from bagwright.shots.quantities import BY_NAME, GROUP_UNITS, unit_named
from bagwright.shots.rows import unit_word
from bagwright.shots.texts import shown
from bagwright.shots.words import MISSING
from bagwright.units import find_unit
from bagwright.words import join, tell

_EITHER_POINT = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")
NEEDED = ("carry_m", "total_m", "offline_m", "offline_total_m")
RIGHT_IS_POSITIVE, LEFT_IS_POSITIVE, NO_SIDE = (
    tell("right is positive"),
    tell("left is positive"),
    tell("the side is not given"),
)


@dataclass(slots=True)
class Layout:
    """Every column of a table and the file's decimal mark."""

    file: str
    header: tuple[str, ...]
    columns: list[Column]
    comma: bool | None = None
    texts: dict[str, list[int]] = field(default_factory=dict)
    """Text column -> the places it is found in (several only for notes)."""

    @property
    def width(self) -> int:
        """The number of columns."""
        return len(self.columns)

    @property
    def measured(self) -> list[Column]:
        """The columns that hold a measure."""
        return [column for column in self.columns if column.quantity is not None]


class Sample:
    """The first rows of a table, column by column, without cells that say "not measured"."""

    def __init__(self, rows: Sequence[Sequence[str]]) -> None:
        self._rows = rows
        self._columns: dict[int, list[str]] = {}

    def cells(self, index: int) -> list[str]:
        """Return the cells of a column that hold something."""
        if index not in self._columns:
            found = (row[index].strip() for row in self._rows if index < len(row))
            self._columns[index] = [cell for cell in found if cell.casefold() not in MISSING]
        return self._columns[index]

    def seen(self, index: int) -> str:
        """Three values of a column, for the text of a question."""
        return ", ".join(shown(cell) for cell in self.cells(index)[:3]) or tell("no values")

    def named(self, columns: Sequence[Column]) -> str:
        """Columns by heading, each with three of its values, for the text of a question."""
        said = [tell('"{shown}" ({seen})', shown=shown(c.header), seen=self.seen(c.index)) for c in columns]
        return join("; ", said)


def lay_out(
    headings: list[Heading],
    units: Sequence[str],
    sample: Sample,
    preamble_units: dict[str, str],
    asker: Asker,
    file: str,
) -> Layout:
    """Decide what every column is. `units` is the units row or empty; open points become questions."""
    headings = [_with_unit(h, units[i] if i < len(units) else "") for i, h in enumerate(headings)]
    headings = [_by_content(heading, sample.cells(i)) for i, heading in enumerate(headings)]
    columns = [
        Column(
            i, h, name=h.name if h.name != "?" else "", quantity=BY_NAME.get(h.name), unit=h.unit, how=h.how
        )
        for i, h in enumerate(headings)
    ]
    layout = Layout(file, tuple(h.text for h in headings), columns)
    _settle_meanings(layout, sample, asker)
    _settle_doubles(layout, asker)
    layout.texts = _text_columns(layout)
    _settle_sides(layout, sample, asker)
    _settle_decimal(layout, sample, asker)
    _settle_units(layout, sample, preamble_units, asker)
    return layout


def _with_unit(heading: Heading, cell: str) -> Heading:
    """Return the heading with the unit that the units row gives it, where it has none itself."""
    name = unit_word(cell)
    if not name or heading.unit is not None or not heading.name:
        return heading
    unit = unit_named(name)
    quantity = BY_NAME.get(heading.name)
    if heading.name == "?":
        readings = tuple(n for n in heading.readings if BY_NAME[n].dimension == unit.dimension)
        return replace(heading, unit=unit, readings=readings)
    if quantity is None:
        return heading
    if quantity.dimension == unit.dimension:
        return replace(heading, unit=unit, how=tell("heading and units row"))
    if heading.name == "offline_m" and unit.dimension == "angle":
        return replace(heading, name="direction_rad", unit=unit, how=tell("heading and units row"))
    return Heading(
        heading.text, how=tell("{unit} is no unit of {heading}", unit=unit.name, heading=quantity.heading)
    )


def _by_content(heading: Heading, cells: list[str]) -> Heading:
    """Settle headings that mean one thing with words below and another with numbers."""
    words = [cell for cell in cells if not re.search(r"[0-9]", cell)]
    sides = ("offline_m", "direction_rad", "offline_total_m")
    sided = heading.name in sides or bool(set(heading.readings) & set(sides))
    letters = sum(side_of(cell) is not None for cell in cells)
    if sided and words == cells and heading.unit is None and letters * 4 >= len(cells) * 3 > 0:
        return replace(heading, name="side", readings=(), how=tell("heading and letters"))
    if heading.name == "time_s" and any(":" in cell for cell in cells):
        return replace(heading, name="time_of_day", how=tell("heading and clock times"))
    if heading.name == "time_s" and heading.unit is None and plain(heading.text) == "time" and cells:
        return Heading(heading.text, "?", readings=("time_s",))
    if heading.name == "lie" and cells and not words:
        return replace(heading, name="lie_angle", how=tell("heading and numbers"))
    if heading.name == "order" and words and len(words) == len(cells):
        return Heading(heading.text, how=tell("no numbers in it"))
    if heading.name == "?" and len(heading.readings) == 1 and heading.unit is not None:
        return replace(heading, name=heading.readings[0], readings=(), how=tell("heading and unit"))
    return heading


def _settle_meanings(layout: Layout, sample: Sample, asker: Asker) -> None:
    for column in layout.columns:
        if column.heading.name != "?":
            continue
        taken = {other.name for other in layout.columns if other.quantity is not None}
        readings = tuple(name for name in column.heading.readings if name not in taken)
        if not readings or not sample.cells(column.index):
            column.how = (
                tell("not used: what it could mean is there already") if not readings else tell("no values")
            )
            continue
        options = (*(BY_NAME[name].heading.replace("_", " ") for name in readings), tell("neither"))
        text = tell(
            'What does "{shown}" ({seen}) mean?', shown=shown(column.header), seen=sample.seen(column.index)
        )
        needed = bool({"carry_m", "offline_m"} & set(readings))
        key = f'meaning of "{shown(column.header)}"'
        answer = asker.ask(key, layout.file, text, options, needed=needed)
        column.how = tell("asked") if answer is None else tell("as you said")
        if answer == "neither":
            continue
        # While the question is open the numbers are checked and left missing, under the first of the names.
        column.name = readings[0 if answer is None else options.index(answer)]
        column.quantity = BY_NAME[column.name]
        column.readable = answer is not None


def _settle_doubles(layout: Layout, asker: Asker) -> None:
    """Ask which of several columns is meant where they all claim to be one measure."""
    for name in dict.fromkeys(column.name for column in layout.measured):
        rivals = [column for column in layout.measured if column.name == name]
        if len(rivals) < 2:
            continue
        heading = BY_NAME[name].heading.replace("_", " ")
        options = tuple(
            tell('{place} "{shown}"', place=place(column.index), shown=shown(column.header))
            for column in rivals
        )
        answer = asker.ask(
            f"which column is {heading}",
            layout.file,
            tell("Several columns say {heading}. Which?", heading=heading),
            options,
            needed=name in NEEDED,
        )
        for option, column in zip(options, rivals, strict=True):
            if answer is None and column is rivals[0]:
                column.readable, column.how = False, tell("asked")
            elif option != answer:
                column.name, column.quantity = "", None
                column.how = tell("asked") if answer is None else tell("not used, as you said")


def place(index: int) -> str:
    """Return the letters of a column as spreadsheets have them: A, B, ..., Z, AA, ..."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(65 + rest) + letters
    return tell("column {letters}", letters=letters)


def _text_columns(layout: Layout) -> dict[str, list[int]]:
    texts: dict[str, list[int]] = {}
    for column in layout.columns:
        if not column.name or column.quantity is not None:
            continue
        if column.name in texts and column.name != "note":
            column.how = tell("not used: an earlier column is the {name}", name=column.name.replace("_", " "))
            column.name = ""
            continue
        texts.setdefault(column.name, []).append(column.index)
    return texts


def _settle_sides(layout: Layout, sample: Sample, asker: Asker) -> None:
    """Find out how each sided column tells right from left, or ask once for all that do not say."""
    letters = layout.texts.get("side", [])
    silent: list[Column] = []
    for column in layout.measured:
        if column.quantity is None or not column.quantity.sided:
            continue
        if any(_has_letter(cell, column) for cell in sample.cells(column.index)):
            column.lettered = True
            column.how += tell(", side by letter")
        elif letters and column.name == _owner_of_letters(layout):
            column.letters, column.how = letters[0], column.how + tell(", side by the letters beside it")
        elif column.heading.positive:
            column.sign = column.heading.positive
            column.how += tell(", right is positive") if column.sign > 0 else tell(", left is positive")
        elif any(_nonzero(cell) for cell in sample.cells(column.index)):
            silent.append(column)
    if silent:
        _ask_side(layout, silent, sample, asker)


def _owner_of_letters(layout: Layout) -> str:
    """Find whose letters they are: those of the side at landing, else of the first sided column."""
    names = [c.name for c in layout.measured if c.quantity is not None and c.quantity.sided]
    return (
        "offline_m" if "offline_m" in names else "offline_total_m" if "offline_total_m" in names else names[0]
    )


def _has_letter(cell: str, column: Column) -> bool:
    if cell.replace(".", "").replace(",", "").lstrip("+-").isdigit() or column.quantity is None:
        return False
    try:
        return read_cell(cell, column.quantity, comma=False).side is not None
    except CellError:
        return False


def _nonzero(cell: str) -> bool:
    return bool(re.search(r"[1-9]", cell))


def _ask_side(layout: Layout, silent: list[Column], sample: Sample, asker: Asker) -> None:
    named = sample.named(silent)
    answer = asker.ask(
        "positive side",
        layout.file,
        tell("Nothing says which side is positive in {named}. Which one is it?", named=named),
        (RIGHT_IS_POSITIVE, LEFT_IS_POSITIVE, NO_SIDE),
        needed=any(column.name in NEEDED for column in silent),
    )
    for column in silent:
        column.sign = -1 if answer == LEFT_IS_POSITIVE else 1
        column.readable = answer in (RIGHT_IS_POSITIVE, LEFT_IS_POSITIVE)
        column.how += (
            tell(", side asked") if answer is None else tell(", {answer}, as you said", answer=answer)
        )


def _settle_decimal(layout: Layout, sample: Sample, asker: Asker) -> None:
    """Find the file's decimal mark, or ask where numbers have two readings."""
    marks = {decimal_evidence(cell) for column in layout.measured for cell in sample.cells(column.index)} - {
        ""
    }
    if len(marks) == 1:
        layout.comma = marks == {","}
        return
    open_columns = [c for c in layout.measured if _two_readings(c, sample.cells(c.index), bool(marks))]
    if not open_columns:
        return
    named = sample.named(open_columns)
    answer = asker.ask(
        "decimal mark",
        layout.file,
        tell("The numbers in {named} have two readings. Which is the decimal mark?", named=named),
        (tell("comma"), tell("point")),
        needed=any(column.name in NEEDED for column in open_columns),
    )
    if answer is not None:
        layout.comma = answer == "comma"
        return
    for column in open_columns:
        column.readable = False
        column.how += tell(", decimal mark asked")
    # The open columns are only checked for being numbers, and any mark does for that.
    layout.comma = None if marks else False


def _two_readings(column: Column, cells: list[str], marks_seen: bool) -> bool:
    if column.quantity is None:
        return False
    if column.quantity.dimension == "rotation" and cells and not marks_seen:
        whole = [cell for cell in cells if not cell.isdigit()]
        if whole and all(_EITHER_POINT.fullmatch(cell) for cell in whole):
            return True
    for cell in cells:
        if "," not in cell:
            continue
        try:
            read_cell(cell, column.quantity, None)
        except TwoReadingsError:
            return True
        except CellError:
            continue
    return False


def _settle_units(layout: Layout, sample: Sample, preamble: dict[str, str], asker: Asker) -> None:
    """Give every measured column a unit: its own, its cells', that of its group, the preamble's, or ask."""
    groups: dict[str, list[Column]] = {}
    for column in layout.measured:
        quantity = column.quantity
        if quantity is None or column.unit is not None or quantity.dimension == "ratio":
            continue
        cells = sample.cells(column.index)
        in_cells = _units_in_cells(cells, column, layout.comma)
        if in_cells:
            column.in_cells, column.how = True, column.how + tell(", unit in the cells")
        elif quantity.usual:
            column.unit, column.how = (
                find_unit(quantity.usual),
                column.how + tell(", {usual} as is usual", usual=quantity.usual),
            )
        elif cells:
            groups.setdefault(quantity.group, []).append(column)
        else:
            column.unit = unit_named(GROUP_UNITS[quantity.group][0])
            column.how += tell(", no values")
    for group, columns in groups.items():
        _settle_group(layout, group, columns, sample, preamble, asker)


def _units_in_cells(cells: list[str], column: Column, comma: bool | None) -> bool:
    """Tell whether a cell carries a unit; cells without one are then errors, as two may be mixed."""
    if column.quantity is None:
        return False
    for cell in cells[:200]:
        try:
            if read_cell(cell, column.quantity, comma if comma is not None else False).unit is not None:
                return True
        except CellError:
            continue
    return False


def _settle_group(
    layout: Layout, group: str, columns: list[Column], sample: Sample, preamble: dict[str, str], asker: Asker
) -> None:
    said = {
        column.unit.name: column
        for column in layout.measured
        if column.quantity is not None and column.quantity.group == group and column.unit is not None
        if not column.how.endswith("no values")
    }
    if len(said) == 1:
        ((name, giver),) = said.items()
        how = tell(', {name} as in "{shown}"', name=name, shown=shown(giver.header))
    elif group in preamble:
        name, how = preamble[group], tell(", {unit} as said above the headings", unit=preamble[group])
    else:
        named = sample.named(columns)
        answer = asker.ask(
            group,
            layout.file,
            tell("Nothing says the unit of {named}. Which one is it?", named=named),
            GROUP_UNITS[group],
            needed=any(column.name in NEEDED for column in columns),
        )
        name, how = (
            answer or "",
            tell(", unit asked") if answer is None else tell(", {answer}, as you said", answer=answer),
        )
    for column in columns:
        column.unit = find_unit(name) if name else None
        column.readable = column.readable and bool(name)
        column.how += how
