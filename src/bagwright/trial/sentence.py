"""The verdict in one or two sentences that a player understands."""

from __future__ import annotations

from bagwright.estimate import Estimate, percent, probability_words
from bagwright.trial import say
from bagwright.trial.case import Case
from bagwright.trial.result import Verdict

_TELL_FROM = 0.75
"""From this chance on a change from the present club is said to gain, though the leaders are close."""

_DOES = {
    "slight lean": "A slight lean towards {name}, which may do the job better",
    "likely": "{name} likely does the job better",
    "very likely": "{name} very likely does the job better",
    "almost certain": "{name} almost certainly does the job better",
}
_CARRIES = {
    "slight lean": "A slight lean towards {name}, which may carry farther",
    "likely": "{name} likely carries farther",
    "very likely": "{name} very likely carries farther",
    "almost certain": "{name} almost certainly carries farther",
}


def verdict_sentence(verdict: Verdict, gap: Estimate, case: Case) -> str:
    """Say the verdict; `gap` is how much the choice leads the next candidate by, in metres of the measure."""
    head = _head(verdict, gap, case)
    return f"{head} {_about_present(verdict, case)}".strip()


def _head(verdict: Verdict, gap: Estimate, case: Case) -> str:
    if verdict.answer == "close":
        return (
            f"Too close to call: {percent(verdict.within_probability)} sure that {verdict.choice} and "
            f"{verdict.runner_up} are within {say.distance(verdict.within_m, case.system)} of each other; "
            "choose by feel, price, look."
        )
    figures = _figures(verdict, gap, case)
    if verdict.answer == "open":
        return (
            f"Cannot tell yet between {verdict.choice} and {verdict.runner_up}: "
            f"{percent(verdict.probability)} for {verdict.choice} ({figures})."
        )
    words = _CARRIES if verdict.measure == "carry" else _DOES
    text = words[probability_words(verdict.probability)].format(name=verdict.choice)
    keep = f"Keep {verdict.choice}: " if verdict.answer == "keep" else ""
    text = text[0].lower() + text[1:] if keep and text.startswith("A slight") else text
    return f"{keep}{text} than {verdict.runner_up}: {percent(verdict.probability)} ({figures})."


def _figures(verdict: Verdict, gap: Estimate, case: Case) -> str:
    what = "farther" if verdict.measure == "carry" else "nearer a shot"
    balls = sum(c.n_shots for c in verdict.candidates if c.name in (verdict.choice, verdict.runner_up))
    low, high = say.span(gap, case.system, 0 if verdict.measure == "carry" else 1).split(" to ")
    return f"about {say.fine(gap.value, case.system)} {what}, 90 % range {low} to {high}, {say.balls(balls)}"


def _about_present(verdict: Verdict, case: Case) -> str:
    if verdict.present is None:
        return "Which club is in the slot now is not known, so what a change gains is not either."
    if verdict.gain_over_present is None:
        return (
            f"Nothing is known of {verdict.present}, now in the slot, so what a change gains is not either."
        )
    if verdict.choice == verdict.present:
        return "" if verdict.answer == "keep" else f"Keeping {verdict.present} is a good answer."
    gain = verdict.gain_over_present
    span = say.span(gain, case.system, 1)
    unit = "of carry" if verdict.measure == "carry" else "a shot"
    better = verdict.gain_probability or 0.0
    undecided = verdict.answer in ("close", "open")
    if undecided and verdict.present != verdict.runner_up and better >= _TELL_FROM:
        return (
            f"{verdict.choice} does better than {verdict.present}, now in the slot: {say.sure(better)}, "
            f"about {say.fine(gain.value, case.system)} {unit} (90 % range {span})."
        )
    if undecided:
        return (
            f"Keeping {verdict.present} is a good answer: a change to {verdict.choice} would gain about "
            f"{say.fine(gain.value, case.system)} {unit} (90 % range {span})."
        )
    if gain.value <= 0.0:
        return f"On the measure alone it gains nothing over {verdict.present} (90 % range {span})."
    cost = say.fine(gain.value, case.system)
    return f"Keeping {verdict.present} costs about {cost} {unit} (90 % range {span})."
