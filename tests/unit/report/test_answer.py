"""Page one in plain words, for every kind of answer, in both systems."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bagwright.estimate import Estimate
from bagwright.report.answer import say_answer
from bagwright.report.text import answer_lines
from bagwright.report.words import Show
from tests.unit.report import sample

SNAPSHOTS = Path(__file__).parent / "snapshots"
_JARGON = (
    "posterior",
    "probability",
    "sigma",
    "standard deviation",
    "percentile",
    "sd ",
    "dispersion",
    "best",
    "proven",
)


@pytest.mark.parametrize("system", ["yards", "metres"])
@pytest.mark.parametrize("kind", ["choice", "keep", "close", "open", "none"])
def test_page_one_reads_as_it_did_when_it_was_last_looked_at(kind: str, system: str) -> None:
    report = sample.report(0) if kind == "none" else sample.report(3, kind=kind)
    lines = "\n".join(answer_lines(report, system)) + "\n"  # type: ignore[arg-type]
    assert lines == (SNAPSHOTS / f"{kind}-{system}.txt").read_text("utf-8")


@pytest.mark.parametrize("kind", ["choice", "keep", "close", "open"])
def test_page_one_needs_no_dictionary(kind: str) -> None:
    report = replace(sample.report(3, kind=kind), sides=())
    text = " ".join(answer_lines(report, "yards")).lower()
    assert not [word for word in _JARGON if word in text]
    sentences = [part for part in text.replace(":", ".").split(". ") if part]
    assert max(len(sentence.split()) for sentence in sentences) <= 32


def test_a_calculation_that_did_not_settle_ranks_nothing() -> None:
    said = say_answer(replace(sample.report(3), converged=False), Show("yards"))
    assert said.headline == "No answer from these shots."
    assert "50 cavity" not in said.headline + said.below
    assert any("did not settle" in sentence for _, lines in said.lines for sentence in lines)


def test_a_gain_that_may_be_a_loss_is_said_so() -> None:
    # 1.9 ± 2.4 yd.
    text = " ".join(answer_lines(sample.report(3), "yards"))
    assert "1.9 yards nearer to the target" in text
    assert "from 0.5 yards farther from it to 4.3 yards nearer to the target" in text
    assert "very likely (91 %)" in text


def test_a_gain_on_one_side_of_zero_is_said_in_one() -> None:
    answer = replace(sample.answer(), gain_m=Estimate(1.8288, 0.9144, 2.7432))
    text = " ".join(answer_lines(replace(sample.report(3), answer=answer), "yards"))
    assert "The range goes from 1.0 to 3.0 yards nearer to the target." in text


def test_the_longest_hitter_is_asked_for_in_other_words() -> None:
    answer = replace(sample.answer(), measure="carry", gain_m=Estimate(6.4, -1.8, 13.7))
    text = " ".join(answer_lines(replace(sample.report(3), answer=answer), "yards"))
    assert "carries on average 7.0 yards farther" in text
    assert "from 2.0 yards shorter to 15.0 yards farther" in text


def test_clubs_hit_in_blocks_are_a_warning() -> None:
    answer = replace(sample.answer(), blocked=True)
    assert "not in turns" in " ".join(answer_lines(replace(sample.report(3), answer=answer), "yards"))


def test_a_slight_lean_is_not_an_order_to_buy() -> None:
    answer = replace(sample.answer(), probability=0.66)
    lines = answer_lines(replace(sample.report(3), answer=answer), "yards")
    assert lines[0] == "Perhaps the 50 cavity in place of the gap wedge."
    assert "slight lean" in lines[1]
    assert any("66 %" in line for line in lines)
