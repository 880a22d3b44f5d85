"""The answer of page one as plain lines for a terminal."""

from __future__ import annotations

from bagwright.report.answer import say_answer, your_numbers
from bagwright.report.model import ReportInput
from bagwright.report.words import NB, Show
from bagwright.units import System


def answer_lines(report: ReportInput, system: System) -> list[str]:
    """Headline, the sentence under it, and a line for each thing that a player asks; plain spaces only."""
    show = Show(system)
    said = say_answer(report, show)
    lines = [said.headline, said.below]
    for label, sentences in said.lines:
        lines.append("")
        lines.append(label)
        lines += [f"  {sentence}" for sentence in sentences]
    numbers = your_numbers(report, show)
    if numbers:
        lines.append("")
        lines += [f"  {what}: {figure}" for what, figure in numbers]
    return [line.replace(NB, " ") for line in lines]
