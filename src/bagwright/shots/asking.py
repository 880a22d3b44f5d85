"""Collects what a reading leaves open, and looks up what has been answered already."""

from __future__ import annotations

from bagwright.errors import ReadError
from bagwright.shots.answers import Answers
from bagwright.shots.limits import Limits
from bagwright.shots.result import Question
from bagwright.words import tell


class Asker:
    """Every question of one reading, asked once a file; an answer given before is used instead."""

    def __init__(self, answers: Answers, limits: Limits) -> None:
        self.answers = answers
        self.limits = limits
        self._open: dict[tuple[str, str], Question] = {}

    def ask(self, key: str, file: str, text: str, options: tuple[str, ...], *, needed: bool) -> str | None:
        """Return the answer to a question, or None after it was noted as open."""
        answer = self.answers.answer(key, file, options)
        if answer is None:
            self._open.setdefault((key, file), Question(key, file, text, options, needed))
            if len(self._open) > self.limits.questions:
                raise ReadError(
                    tell(
                        "{file} leaves more than {questions} things open, so it is no shot table.",
                        file=file,
                        questions=self.limits.questions,
                    ),
                    tell("Check that it is the right file; name its columns in a file given with --map."),
                )
        return answer

    def questions(self) -> tuple[Question, ...]:
        """All open questions, the needed ones first, in the order in which they came up."""
        return tuple(sorted(self._open.values(), key=lambda question: not question.needed))
