"""The answer in plain words: what to carry, how sure, what it gains, what is open, what to test next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bagwright.estimate import Estimate, probability_words
from bagwright.report.model import Answer, CandidateRow, CarryRow, NextTest, ReportInput
from bagwright.report.safe import clean
from bagwright.report.words import Show, chance, counted, joined, number, one_in, sure, usual_side
from bagwright.words import elsewhere, first_upper, tell, template, term

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
        (tell("You decided"), tuple(clean(text, 400) for text in report.decided)),
        (tell("How sure"), _how_sure(answer, show)),
        (tell("What you gain"), _gain(answer, show)),
        (tell("Still open"), answer_open(report)),
        (tell("Test next"), answer_next(report)),
    )
    return Said(
        _headline(answer), _below(answer, show), tuple((label, said) for label, said in lines if said)
    )


def _headline(answer: Answer) -> str:
    choice, present = named(answer.choice), named(answer.present)
    if answer.kind == "open" or answer.choice is None:
        return tell("It is too early to choose.")
    if answer.kind == "keep":
        return tell("Keep the {choice} that you have.", choice=choice)
    if answer.kind == "close":
        return tell(
            "Too close to call: {choice} or {runner_up}.",
            choice=choice,
            runner_up=named(answer.runner_up) or tell("the next candidate"),
        )
    instead = tell(" in place of the {present}", present=present) if present and present != choice else ""
    if answer.probability is not None and answer.probability < _FIRM:
        return tell("Perhaps the {choice}{instead}.", choice=choice, instead=instead)
    return tell("Carry the {choice}{instead}.", choice=choice, instead=instead)


def _below(answer: Answer, show: Show) -> str:
    if answer.kind == "close":
        kept = answer.present is not None and answer.present in (answer.choice, answer.runner_up)
        keep = tell(" Keeping the {present} is a good answer.", present=named(answer.present)) if kept else ""
        return tell("Choose by feel, look or price.{keep}", keep=keep)
    if answer.kind == "open":
        told = answer.choice is not None and (answer.gain_probability or 0.0) >= _FIRM
        rest = "" if told else tell(" Keep what you have until they do.")
        return tell("The balls hit so far do not tell the leading candidates apart.{rest}", rest=rest)
    if answer.kind == "choice" and answer.probability is not None and answer.probability < _FIRM:
        return tell("It is ahead by a slight lean only. More balls may well turn it round.")
    where = (
        tell(" from {distance}", distance=show.distance(answer.spot_m)) if answer.spot_m is not None else ""
    )
    if answer.measure == "carry":
        return tell("It is the candidate that carries farthest.")
    return tell(
        "It is the candidate that leaves your ball nearest to the target{where}, mishits counted in.",
        where=where,
    )


def _how_sure(answer: Answer, show: Show) -> tuple[str, ...]:
    said = []
    if answer.probability is not None and answer.choice is not None:
        other = (
            tell("the {runner_up}", runner_up=named(answer.runner_up))
            if answer.runner_up
            else tell("the next candidate")
        )
        better = tell("carries farther than") if answer.measure == "carry" else tell("does better than")
        words = probability_words(answer.probability)
        said.append(
            tell(
                "{words}: a chance of {chance} that the {choice} {better} {other}.",
                words=first_upper(words),
                chance=chance(answer.probability),
                choice=named(answer.choice),
                better=better,
                other=other,
            )
        )
    if answer.within_m is not None and answer.within_probability is not None:
        said.append(
            tell(
                "The two differ by less than {distance}: {sure}.",
                distance=show.distance(answer.within_m),
                sure=sure(answer.within_probability),
            )
        )
    if answer.blocked:
        said.append(
            tell(
                "The clubs were hit one after the other and not in turns. That mixes the club with "
                "warming up and tiring, so the answer is less sure than it could be."
            )
        )
    return tuple(said)


def _gain(answer: Answer, show: Show) -> tuple[str, ...]:
    if answer.gain_m is None or answer.choice is None:
        return ()
    if answer.choice == answer.present:
        return ()
    against = (
        tell("with the {present}", present=named(answer.present))
        if answer.present
        else tell("with the next candidate")
    )
    gain = show.scaled(answer.gain_m)
    if answer.measure == "carry":
        more, less = tell("farther"), tell("shorter")
        text = template(
            "With the {choice} your ball carries on average {middle} than {against}. The range "
            "goes from {between}."
        )
    else:
        more, less = tell("nearer to the target"), tell("farther from it")
        text = template(
            "With the {choice} your ball finishes on average {middle} than {against}. The range "
            "goes from {between}."
        )
    middle = _moved(gain.value, more, less, show)
    between = _between(gain, more, less, show)
    said = [tell(text, choice=named(answer.choice), middle=middle, against=against, between=between)]
    if answer.gain_probability is not None:
        said.append(tell("That there is a gain at all is {sure}.", sure=sure(answer.gain_probability)))
    return tuple(said)


def _between(gain: Estimate, more: str, less: str, show: Show) -> str:
    if gain.low >= 0.0 or gain.high <= 0.0:
        near, far = sorted((abs(gain.low), abs(gain.high)))
        return tell(
            "{low} to {high} {unit_word} {more}",
            low=number(near, 1),
            high=number(far, 1),
            unit_word=show.unit_word,
            more=more if gain.low >= 0.0 else less,
        )
    return tell(
        "{low} to {high}",
        low=_moved(gain.low, more, less, show),
        high=_moved(gain.high, more, less, show),
    )


def _moved(value: float, more: str, less: str, show: Show) -> str:
    return tell(
        "{number} {unit_word} {more}",
        number=number(abs(value), 1),
        unit_word=show.unit_word,
        more=more if value >= 0 else less,
    )


def answer_open(report: ReportInput) -> tuple[str, ...]:
    """Give what the visit leaves open, one sentence each, without repeats."""
    answer = report.answer
    said = [clean(text, 220) for text in (answer.still_open if answer else ())]
    said += [
        tell(
            "{side}: {still_open}",
            side=term(line.side).capitalize(),
            still_open=clean(line.still_open, 240),
        )
        for line in report.sides
        if line.still_open
    ]
    return tuple(dict.fromkeys(said))


def answer_next(report: ReportInput) -> tuple[str, ...]:
    """Give what to hit next and the chance that it changes the choice."""
    return tuple(_next(test) for test in (report.answer.next_tests if report.answer else ()))


def _next(test: NextTest) -> str:
    said = clean(test.text, 220)
    if not said:
        clubs = joined([named(name) for name in test.clubs])
        how_many = counted(test.balls, "more ball") if test.balls else tell("More balls")
        said = tell("{how_many} with {clubs}.", how_many=how_many, clubs=clubs or tell("the candidates"))
    if test.chance_of_change is not None:
        said += tell(" They would change the choice in {one_in}.", one_in=one_in(test.chance_of_change))
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
        (tell("Carry when struck well"), row.carry_m),
        (tell("Gripped down"), row.gripped_down_m),
        (tell("Flat out"), row.flat_out_m),
    ]
    said = [(what, show.distance_ranged(value)) for what, value in figures if value is not None]
    if row.right_probability is not None:
        said.append((tell("Usual side today"), usual_side(row.right_probability)))
    if row.mishit_share is not None:
        share = row.mishit_share.scaled(100.0)
        said.append(
            (
                tell("Mishits in 100 balls"),
                tell(
                    "{number} ({number_2} to {number_3})",
                    number=number(share.value),
                    number_2=number(share.low),
                    number_3=number(share.high),
                ),
            )
        )
    return tuple(said)


def _unsettled(report: ReportInput) -> Said:
    said = (
        tell(
            "The calculation did not settle on these shots, so nothing is ranked here. Check the "
            "shots and marks."
        ),
    )
    return Said(
        tell("No answer from these shots."),
        tell("Keep what you have."),
        ((tell("Why"), said), (tell("Still open"), answer_open(report))),
    )


def _distances(report: ReportInput, show: Show) -> Said:
    hit = [row for row in report.clubs if row.measured and row.swing == "stock" and row.carry_m is not None]
    never = [row.club for row in report.clubs if not row.measured and row.swing == "stock"]
    headline = (
        tell("How far your {counted} carry.", counted=counted(len(hit), "club"))
        if len(hit) != 1
        else tell("How far your club carries.")
    )
    lines: list[tuple[str, tuple[str, ...]]] = []
    if hit:
        lines.append((tell("How far"), _reach(hit, show)))
    if report.findings:
        lines.append((tell("What stands out"), tuple(clean(text, 220) for text in report.findings[:4])))
    if never:
        names = joined([named(name) for name in never[:6]])
        lines.append(
            (
                tell("Still open"),
                (tell("Not hit yet, so estimated from the other clubs: {names}.", names=names),),
            )
        )
    lines.append((tell("Test next"), answer_next(report) or _hit_next(report, never)))
    return Said(headline, tell("No clubs were compared in this report."), tuple(lines))


def _reach(hit: Sequence[CarryRow], show: Show) -> tuple[str, ...]:
    ordered = sorted(hit, key=lambda row: -(row.carry_m.value if row.carry_m else 0.0))
    ends = [ordered[0]] if len(ordered) == 1 else [ordered[0], ordered[-1]]
    said = [
        tell(
            "the {club} {distance}",
            club=named(row.club),
            distance=show.distance_ranged(row.carry_m),
        )
        for row in ends
    ]
    if len(said) == 1:
        return (tell("Struck well, {said}.", said=said[0]),)
    return (tell("Struck well, from {said} down to {said_2}.", said=said[0], said_2=said[1]),)


def _hit_next(report: ReportInput, never: Sequence[str]) -> tuple[str, ...]:
    if never:
        return (tell("A few balls with the {joined}.", joined=joined([named(name) for name in never[:3]])),)
    few = sorted(
        (row for row in report.clubs if row.swing == "stock" and row.measured), key=lambda row: row.n_shots
    )
    if not few:
        return ()
    return (
        tell(
            "A few more balls with the {club}: it has {counted} so far.",
            club=named(few[0].club),
            counted=counted(few[0].n_shots, "ball"),
        ),
    )


def named(name: str | None) -> str:
    """Give a club's name within a sentence: "Gap wedge" becomes "gap wedge"; names of more capitals stay."""
    shown = clean(name, NAME) if name else ""
    first, rest = shown[:1], shown[1:]
    return elsewhere(first.lower() + rest, shown) if rest == rest.lower() else shown
