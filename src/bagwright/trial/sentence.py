"""The verdict in one or two sentences that a player understands."""

from __future__ import annotations

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.trial import say
from bagwright.trial.case import Case
from bagwright.trial.result import Verdict
from bagwright.words import first_lower, join, tell, template

_TELL_FROM = 0.75
"""From this chance on a change from the present club is said to gain, though the leaders are close."""

_DOES = {
    "slight lean": template("A slight lean towards {name}, which may do the job better"),
    "likely": template("{name} likely does the job better"),
    "very likely": template("{name} very likely does the job better"),
    "almost certain": template("{name} almost certainly does the job better"),
}
_CARRIES = {
    "slight lean": template("A slight lean towards {name}, which may carry farther"),
    "likely": template("{name} likely carries farther"),
    "very likely": template("{name} very likely carries farther"),
    "almost certain": template("{name} almost certainly carries farther"),
}


def verdict_sentence(verdict: Verdict, gap: Estimate, case: Case) -> str:
    """Say the verdict; `gap` is how much the choice leads the next candidate by, in metres of the measure."""
    head = _head(verdict, gap, case)
    return join(" ", [part for part in (head, _about_present(verdict, case)) if part])


def _head(verdict: Verdict, gap: Estimate, case: Case) -> str:
    if verdict.answer == "close":
        return tell(
            "Too close to call: {percent} sure that {choice} and {runner_up} are within "
            "{distance} of each other; choose by feel, price, look.",
            percent=percent(verdict.within_probability),
            choice=verdict.choice,
            runner_up=verdict.runner_up,
            distance=say.distance(verdict.within_m, case.system),
        )
    figures = _figures(verdict, gap, case)
    if verdict.answer == "open":
        return tell(
            "Cannot tell yet between {choice} and {runner_up}: {percent} for {choice} ({figures}).",
            choice=verdict.choice,
            runner_up=verdict.runner_up,
            percent=percent(verdict.probability),
            figures=figures,
        )
    words = _CARRIES if verdict.measure == "carry" else _DOES
    word = probability_words(verdict.probability)
    text = tell(words[word], name=verdict.choice)
    keep = tell("Keep {choice}: ", choice=verdict.choice) if verdict.answer == "keep" else ""
    text = first_lower(text) if keep and word == "slight lean" else text
    return tell(
        "{keep}{text} than {runner_up}: {percent} ({figures}).",
        keep=keep,
        text=text,
        runner_up=verdict.runner_up,
        percent=percent(verdict.probability),
        figures=figures,
    )


def _figures(verdict: Verdict, gap: Estimate, case: Case) -> str:
    balls = sum(c.n_shots for c in verdict.candidates if c.name in (verdict.choice, verdict.runner_up))
    span = say.span(gap, case.system, 0 if verdict.measure == "carry" else 1)
    told = {"fine": say.fine(gap.value, case.system), "span": span, "balls": say.balls(balls)}
    if verdict.measure == "carry":
        return tell("about {fine} farther, 90 % range {span}, {balls}", **told)
    return tell("about {fine} nearer a shot, 90 % range {span}, {balls}", **told)


def _about_present(verdict: Verdict, case: Case) -> str:
    if verdict.present is None:
        return tell("No club that is in the slot now takes part, so what a change gains is not known.")
    if verdict.gain_over_present is None:
        return tell(
            "Nothing is known of {present}, now in the slot, so what a change gains is not either.",
            present=verdict.present,
        )
    if verdict.choice == verdict.present:
        return (
            ""
            if verdict.answer == "keep"
            else tell("Keeping {present} is a good answer.", present=verdict.present)
        )
    gain = verdict.gain_over_present
    span = say.span(gain, case.system, 1)
    unit = tell("of carry") if verdict.measure == "carry" else tell("a shot")
    better = verdict.gain_probability or 0.0
    undecided = verdict.answer in ("close", "open")
    if undecided and verdict.present != verdict.runner_up and better >= _TELL_FROM:
        return tell(
            "{choice} does better than {present}, now in the slot: {sure}, about {fine} {unit} "
            "(90 % range {span}).",
            choice=verdict.choice,
            present=verdict.present,
            sure=say.sure(better),
            fine=say.fine(gain.value, case.system),
            unit=unit,
            span=span,
        )
    if undecided:
        return tell(
            "Keeping {present} is a good answer: a change to {choice} would gain about {fine} "
            "{unit} (90 % range {span}).",
            present=verdict.present,
            choice=verdict.choice,
            fine=say.fine(gain.value, case.system),
            unit=unit,
            span=span,
        )
    if gain.value <= 0.0:
        return tell(
            "On the measure alone it gains nothing over {present} (90 % range {span}).",
            present=verdict.present,
            span=span,
        )
    cost = say.fine(gain.value, case.system)
    return tell(
        "Keeping {present} costs about {cost} {unit} (90 % range {span}).",
        present=verdict.present,
        cost=cost,
        unit=unit,
        span=span,
    )
