"""Questions as a map or card is read: counted, bounded, and closed by the overlay's answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bagwright.course import limits
from bagwright.course.hole import Question
from bagwright.errors import InputError
from bagwright.words import tell

AS_READ = "as read"
"""The answer that agrees with how something was read meanwhile."""


def name_of(hole: int, key: str) -> str:
    """Give the name under which an overlay answers: `7 fairway`, or the key for the whole course."""
    return f"{hole} {key}" if hole else key


@dataclass(slots=True)
class Asked:
    """The questions of one reading, and the answers that were given before."""

    answers: Mapping[str, str] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    readings: dict[str, str] = field(default_factory=dict)
    """How words of a card were read that leave nothing open, by the name under which they can be answered."""

    def ask(self, hole: int, key: str, words: str, read_as: str, answer: str) -> None:
        """Put a question, unless it is answered."""
        if self.answer(hole, key) is not None:
            return
        self.questions.append(Question(hole, key, words, read_as, answer))
        if len(self.questions) > limits.QUESTIONS:
            raise InputError(
                tell("The map or card leaves more than {questions} things open.", questions=limits.QUESTIONS),
                tell("Check that it is the map or card of one golf course."),
            )

    def answer(self, hole: int, key: str) -> str | None:
        """Give the answer to a question, or None."""
        return self.answers.get(name_of(hole, key))

    def told(self, hole: int, key: str) -> str | None:
        """Give an answer that says something new; None where there is none or it agrees with the reading."""
        answer = self.answer(hole, key)
        return None if answer is None or answer.strip().casefold() == AS_READ else answer
