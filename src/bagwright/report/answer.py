"""The answer in plain words: what to carry, how sure, what it gains, what is open, what to test next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagwright.estimate import Estimate, probability_words
from bagwright.report.model import Answer, CandidateRow, CarryRow, NextTest, ReportInput
from bagwright.report.safe import clean
from bagwright.report.words import Show, chance, counted, joined, number, one_in, sure, usual_side

NAME = 48
"""Most characters of a club's name in a sentence."""


_FIRM = 0.75
"""Below this chance the headline says "perhaps": the words for it are "slight lean" at most."""


@dataclass(frozen=True, slots=True)
class Said:
    """Page one: a headline, a sentence under it, and (label, sentences) for each question a player asks."""

    headline: str
    below: str
    lines: tuple[tuple[str, tuple[str, ...]], ...]


def say_answer(report: ReportInput, show: Show) -> Said:
    """Give the answer of a visit in plain words, each number with how sure it is.

    Without a trial the answer is about distances. Where the fit did not settle, nothing is ranked.
    """
    answer = report.answer
    if not report.converged:
        return _unsettled(report)
    if answer is None:
        return _distances(report, show)
    lines = (
        ("You decided", tuple(clean(text, 400) for text in report.decided)),
        ("How sure", _how_sure(answer, show)),
        ("What you gain", _gain(answer, show)),
        ("Still open", answer_open(report)),
        ("Test next", answer_next(report)),
    )
    return Said(
        _headline(answer), _below(answer, show), tuple((label, said) for label, said in lines if said)
    )


def _headline(answer: Answer) -> str:
    choice, present = named(answer.choice), named(answer.present)
    if answer.kind == "open" or answer.choice is None:
        return "It is too early to choose."
    if answer.kind == "keep":
        return f"Keep the {choice} that you have."
    if answer.kind == "close":
        return f"Too close to call: {choice} or {named(answer.runner_up) or 'the next candidate'}."
    instead = f" in place of the {present}" if present and present != choice else ""
    if answer.probability is not None and answer.probability < _FIRM:
        return f"Perhaps the {choice}{instead}."
    return f"Carry the {choice}{instead}."


def _below(answer: Answer, show: Show) -> str:
    if answer.kind == "close":
        kept = answer.present is not None and answer.present in (answer.choice, answer.runner_up)
        keep = f" Keeping the {named(answer.present)} is a good answer." if kept else ""
        return f"Choose by feel, look or price.{keep}"
    if answer.kind == "open":
        told = answer.choice is not None and (answer.gain_probability or 0.0) >= _FIRM
        rest = "" if told else " Keep what you have until they do."
        return f"The balls hit so far do not tell the leading candidates apart.{rest}"
    if answer.kind == "choice" and answer.probability is not None and answer.probability < _FIRM:
        return "It is ahead by a slight lean only. More balls may well turn it round."
    where = f" from {show.distance(answer.spot_m)}" if answer.spot_m is not None else ""
    if answer.measure == "carry":
        return "It is the candidate that carries farthest."
    return f"It is the candidate that leaves your ball nearest to the target{where}, mishits counted in."


def _how_sure(answer: Answer, show: Show) -> tuple[str, ...]:
    said = []
    if answer.probability is not None and answer.choice is not None:
        other = f"the {named(answer.runner_up)}" if answer.runner_up else "the next candidate"
        better = "carries farther than" if answer.measure == "carry" else "does better than"
        words = probability_words(answer.probability)
        said.append(
            f"{words[0].upper()}{words[1:]}: a chance of {chance(answer.probability)} that the "
            f"{named(answer.choice)} {better} {other}."
        )
    if answer.within_m is not None and answer.within_probability is not None:
        said.append(
            f"The two differ by less than {show.distance(answer.within_m)}: "
            f"{sure(answer.within_probability)}."
        )
    if answer.blocked:
        said.append(
            "The clubs were hit one after the other and not in turns. That mixes the club with warming "
            "up and "
            "tiring, so the answer is less sure than it could be."
        )
    return tuple(said)


def _gain(answer: Answer, show: Show) -> tuple[str, ...]:
    if answer.gain_m is None or answer.choice is None:
        return ()
    if answer.choice == answer.present:
        return ()
    against = f"with the {named(answer.present)}" if answer.present else "with the next candidate"
    gain = show.scaled(answer.gain_m)
    if answer.measure == "carry":
        verb, more, less = "carries", "farther", "shorter"
    else:
        verb, more, less = "finishes", "nearer to the target", "farther from it"
    middle = _moved(gain.value, more, less, show)
    said = [
        f"With the {named(answer.choice)} your ball {verb} on average {middle} than {against}. "
        f"The range goes from {_between(gain, more, less, show)}."
    ]
    if answer.gain_probability is not None:
        said.append(f"That there is a gain at all is {sure(answer.gain_probability)}.")
    return tuple(said)


def _between(gain: Estimate, more: str, less: str, show: Show) -> str:
    if gain.low >= 0.0 or gain.high <= 0.0:
        near, far = sorted((abs(gain.low), abs(gain.high)))
        return f"{number(near, 1)} to {number(far, 1)} {show.unit_word} {more if gain.low >= 0.0 else less}"
    return f"{_moved(gain.low, more, less, show)} to {_moved(gain.high, more, less, show)}"


def _moved(value: float, more: str, less: str, show: Show) -> str:
    return f"{number(abs(value), 1)} {show.unit_word} {more if value >= 0 else less}"


def answer_open(report: ReportInput) -> tuple[str, ...]:
    """Give what the visit leaves open, one sentence each, without repeats."""
    answer = report.answer
    said = [clean(text, 220) for text in (answer.still_open if answer else ())]
    said += [
        f"{line.side.capitalize()}: {clean(line.still_open, 240)}" for line in report.sides if line.still_open
    ]
    return tuple(dict.fromkeys(said))


def answer_next(report: ReportInput) -> tuple[str, ...]:
    """Give what to hit next and the chance that it changes the choice."""
    return tuple(_next(test) for test in (report.answer.next_tests if report.answer else ()))


def _next(test: NextTest) -> str:
    said = clean(test.text, 220)
    if not said:
        clubs = joined([named(name) for name in test.clubs])
        how_many = counted(test.balls, "more ball") if test.balls else "More balls"
        said = f"{how_many} with {clubs or 'the candidates'}."
    if test.chance_of_change is not None:
        said += f" They would change the choice in {one_in(test.chance_of_change)}."
    return said


def your_numbers(report: ReportInput, show: Show) -> tuple[tuple[str, str], ...]:
    """Give the chosen club's own numbers for page one: (what, figure with range); empty without a choice."""
    answer = report.answer
    if answer is None or not report.converged:
        return ()
    row = next((row for row in report.candidates if row.name == answer.choice), None)
    return _numbers(row, show) if row is not None else ()


def _numbers(row: CandidateRow, show: Show) -> tuple[tuple[str, str], ...]:
    figures: list[tuple[str, Estimate | None]] = [
        ("Carry when struck well", row.carry_m),
        ("Gripped down", row.gripped_down_m),
        ("Flat out", row.flat_out_m),
    ]
    said = [(what, show.distance_ranged(value)) for what, value in figures if value is not None]
    if row.right_probability is not None:
        said.append(("Usual side today", usual_side(row.right_probability)))
    if row.mishit_share is not None:
        share = row.mishit_share.scaled(100.0)
        said.append(
            (
                "Mishits in 100 balls",
                f"{number(share.value)} ({number(share.low)} to {number(share.high)})",
            )
        )
    return tuple(said)


def _unsettled(report: ReportInput) -> Said:
    said = (
        "The calculation did not settle on these shots, so nothing is ranked here. Check the shots and "
        "marks.",
    )
    return Said(
        "No answer from these shots.",
        "Keep what you have.",
        (("Why", said), ("Still open", answer_open(report))),
    )


def _distances(report: ReportInput, show: Show) -> Said:
    hit = [row for row in report.clubs if row.measured and row.swing == "stock" and row.carry_m is not None]
    never = [row.club for row in report.clubs if not row.measured and row.swing == "stock"]
    headline = (
        f"How far your {counted(len(hit), 'club')} carry." if len(hit) != 1 else "How far your club carries."
    )
    lines: list[tuple[str, tuple[str, ...]]] = []
    if hit:
        lines.append(("How far", _reach(hit, show)))
    if report.findings:
        lines.append(("What stands out", tuple(clean(text, 220) for text in report.findings[:4])))
    if never:
        names = joined([named(name) for name in never[:6]])
        lines.append(("Still open", (f"Not hit yet, so estimated from the other clubs: {names}.",)))
    lines.append(("Test next", answer_next(report) or _hit_next(report, never)))
    return Said(headline, "No clubs were compared in this report.", tuple(lines))


def _reach(hit: Sequence[CarryRow], show: Show) -> tuple[str, ...]:
    ordered = sorted(hit, key=lambda row: -(row.carry_m.value if row.carry_m else 0.0))
    ends = [ordered[0]] if len(ordered) == 1 else [ordered[0], ordered[-1]]
    said = [f"the {named(row.club)} {show.distance_ranged(row.carry_m)}" for row in ends]
    if len(said) == 1:
        return (f"Struck well, {said[0]}.",)
    return (f"Struck well, from {said[0]} down to {said[1]}.",)


def _hit_next(report: ReportInput, never: Sequence[str]) -> tuple[str, ...]:
    if never:
        return (f"A few balls with the {joined([named(name) for name in never[:3]])}.",)
    few = sorted(
        (row for row in report.clubs if row.swing == "stock" and row.measured), key=lambda row: row.n_shots
    )
    if not few:
        return ()
    return (
        f"A few more balls with the {named(few[0].club)}: it has {counted(few[0].n_shots, 'ball')} so far.",
    )


def named(name: str | None) -> str:
    """Give a club's name within a sentence: "Gap wedge" becomes "gap wedge"; names of more capitals stay."""
    shown = clean(name, NAME) if name else ""
    first, rest = shown[:1], shown[1:]
    return first.lower() + rest if rest == rest.lower() else shown
