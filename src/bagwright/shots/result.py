"""What comes back from reading shot tables: the shots, and the account of every row and column."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from bagwright.errors import QuestionError
from bagwright.shots.record import Conditions, Mark, ShotTable
from bagwright.words import join, plain, tell

if TYPE_CHECKING:
    from bagwright.shots.findings import FileFinding
    from bagwright.shots.screen import Screened


@dataclass(frozen=True, slots=True)
class Rejected:
    """A row that could not be read: where, the heading of the column, the value and why."""

    file: str
    row: int
    column: str
    value: str
    reason: str


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A row that is not a new shot (blank, headings again, average, already read), and why."""

    file: str
    row: int
    reason: str


@dataclass(frozen=True, slots=True)
class Flagged:
    """An accepted row with a mark: one that the file carries, or a suggestion (author "model").

    `shot` is the position in the table. A suggestion is not set in the table until somebody sets it.
    """

    file: str
    row: int
    shot: int
    mark: Mark


@dataclass(frozen=True, slots=True)
class ColumnUse:
    """How a column was understood. `name` is "" for a column that is not used; `how` says why."""

    file: str
    header: str
    name: str
    unit: str
    how: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something that the file leaves open. `key` stays the same from file to file, so one answer serves all.

    `needed` is True where no verdict and no distance can be given before it is answered.
    """

    key: str
    file: str
    text: str
    options: tuple[str, ...]
    needed: bool


@dataclass(frozen=True, slots=True)
class FileRead:
    """How a file (or one sheet of a workbook) was taken apart. Rows count from 1; 0 is "there is none"."""

    file: str
    kind: str
    encoding: str
    delimiter: str
    decimal_mark: str
    header_row: int
    units_row: int
    rows_read: int


@dataclass(frozen=True, slots=True)
class ReadResult:
    """Shots and the account of all rows: rows_read = accepted + len(rejected) + len(left_out), always.

    `rows_read` counts every row below the headings: shots, blank rows between them, averages, repeated
    headings and units rows. Lines above the headings, the first headings, the units row below them, and
    blank rows at the very end are not counted.
    """

    rows_read: int
    accepted: int
    rejected: tuple[Rejected, ...]
    left_out: tuple[LeftOut, ...]
    flagged: tuple[Flagged, ...]
    columns: tuple[ColumnUse, ...]
    questions: tuple[Question, ...]
    table: ShotTable
    conditions: dict[str, Conditions] = field(default_factory=dict)
    unknown_clubs: dict[str, int] = field(default_factory=dict)
    """Names that are no club of the bag (without a bag: no club at all) -> number of shots."""
    files: tuple[FileRead, ...] = ()
    screened: Screened | None = None
    """What the screening says: suggestions (they are among `flagged` too), findings about whole files."""

    @property
    def findings(self) -> tuple[FileFinding, ...]:
        """What the screening says of whole files: the unit's grade, offsets, what was not checked."""
        return self.screened.findings if self.screened is not None else ()

    @property
    def open_questions(self) -> tuple[Question, ...]:
        """The questions that must be answered before the shots can be used."""
        return tuple(question for question in self.questions if question.needed)

    def require_answers(self) -> None:
        """Raise QuestionError when a needed question is open; the error holds the questions' text."""
        needed = self.open_questions
        if needed:
            asked = join(
                " ",
                (
                    tell(
                        "{file}: {text} ({options})", file=q.file, text=q.text, options=join(" / ", q.options)
                    )
                    for q in needed[:3]
                ),
            )
            more = tell(" And {needed} more.", needed=len(needed) - 3) if len(needed) > 3 else ""
            raise QuestionError(
                tell(
                    "The table leaves {needed} thing(s) open that change the answer. {asked}{more}",
                    needed=len(needed),
                    asked=asked,
                    more=more,
                ),
                tell("Answer with ")
                + " ".join(f'--answer "{q.key}={plain(q.options[0])}"' for q in needed[:3])
                + tell(" (or the other option), or in a file given with --map."),
            )
