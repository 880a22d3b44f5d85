"""The bag in the report: the pick with its proof line, worths of the clubs, distances, holes, near bags."""

from __future__ import annotations

from typing import Any

from bagwright.report.charts.render import Chart
from bagwright.report.pick import words
from bagwright.report.pick.shown import PickShown
from bagwright.report.pick.worth import worth_chart
from bagwright.report.safe import clean
from bagwright.report.words import NONE, Show, number
from bagwright.words import join, tell, term

MOST_NEAR = 8
"""Near bags that the report lists; the count of the rest is said."""


def pick_charts(shown: PickShown) -> dict[str, Chart]:
    """The picture of what each club is worth; none where today's bag may stay."""
    return {} if shown.keeps else {"worth": worth_chart(shown.pick.worth)}


def pick_data(shown: PickShown, show: Show) -> dict[str, Any]:
    """The section's strings and tables; short where today's bag is as good."""
    said = [_bag_words(shown), words.keep_words(shown), words.proof_line(shown.pick),
            words.unhit_words(shown), words.shots_words(shown.pick), words.near_words(shown)]  # fmt: skip
    more = [*words.further_words(shown.pick)]
    if shown.route is not None:
        more += [words.route_words(shown.route, clean(shown.currency, 10)), words.left_out_words(shown.route)]
    found: dict[str, Any] = {
        "pick_said": [text for text in said if text],
        "pick_more": [text for text in more if text],
    }
    if shown.keeps:
        return found
    return found | _worth(shown) | _carries(shown, show) | _holes(shown, show) | _near(shown)


def _bag_words(shown: PickShown) -> str:
    clubs = [clean(club, 40) for club in (*shown.pick.clubs, *shown.putters)]
    where = "; ".join(clean(name, 80) for name, _share in shown.rounds)
    return tell(
        "{clubs}: {strokes} strokes a round ({where}).", clubs=join(", ", clubs),
        strokes=number(shown.pick.round, 2), where=where,
    )  # fmt: skip


def _table(name: str, heads: list[str], rows: list[list[str]], widths: list[float]) -> dict[str, Any]:
    return {f"pick_{name}": rows, f"pick_{name}_heads": heads, f"pick_{name}_widths": widths}


def _worth(shown: PickShown) -> dict[str, Any]:
    rows = [
        [
            clean(one.club, 40), words.worth_words(one), number(one.times, 1),
            ", ".join(str(hole.hole) for hole in one.holes) or NONE,
            ", ".join(clean(other.club, 30) for other in one.takes_over) or NONE,
        ]
        for one in shown.pick.worth
    ]  # fmt: skip
    heads = [tell("Club"), tell("Strokes a round that it saves"), tell("Used a round"), tell("Most on holes"),
             tell("Taken over by")]  # fmt: skip
    note = tell(
        "Of the same bag without the club, every decision chosen anew, with what the shots leave open. "
        "Worths do not add up: two clubs that stand in for each other are worth little each, much together."
    )
    return _table("worth", heads, rows, [1.1, 2.2, 0.7, 0.9, 1.5]) | {"pick_worth_note": note}


def _carries(shown: PickShown, show: Show) -> dict[str, Any]:
    """Both bags by carry, with the step to the next shorter club in each."""
    before = {one.club.club: one for one in shown.carries.lines(shown.today)}
    now = {one.club.club: one for one in shown.carries.lines(shown.pick.clubs)}
    rows = []
    for club in shown.carries.clubs:
        lines = [bag.get(club.club) for bag in (before, now)]
        if not any(lines):
            continue
        state = "" if all(lines) else tell("comes in") if lines[1] else tell("goes out")
        carry = show.distance_ranged(club.carry_m)
        rows.append(
            [
                clean(club.club, 40), state,
                carry if club.n_shots else tell("{carry}, estimated", carry=carry),
                *(
                    NONE
                    if line is None or line.step is None
                    else tell(
                        "{step} {word}",
                        step=show.distance_ranged(line.step.step_m),
                        word=term(line.step.word),
                    )
                    for line in lines
                ),
            ]
        )  # fmt: skip
    heads = [tell("Club"), "", tell("Carry"), tell("Step, today's bag"), tell("Step, picked bag")]
    return _table("carries", heads, rows, [1.1, 0.7, 1.3, 1.5, 1.5])


def _holes(shown: PickShown, show: Show) -> dict[str, Any]:
    several = len(shown.rounds) > 1
    rows = [
        [
            f"{one.hole}, {clean(one.round, 60)}" if several else str(one.hole), number(one.today, 2),
            number(one.picked, 2), number(one.saves, 3), clean(words.tee_words(one, show.system), 80),
        ]
        for one in words.holes_that_show(shown)
    ]  # fmt: skip
    heads = [tell("Hole"), tell("Today's bag"), tell("Picked bag"), tell("Saves"), tell("From the tee")]
    return _table("holes", heads, rows, [1.5 if several else 0.6, 0.8, 0.8, 0.8, 2.4])


def _near(shown: PickShown) -> dict[str, Any]:
    rows = [
        [
            clean(words.runner_words(one), 120), tell("a tie") if one.tie else number(one.more, 3),
            words.more_words(one.more),
        ]
        for one in shown.pick.runners_up[:MOST_NEAR]
    ]  # fmt: skip
    heads = [tell("What is swapped"), tell("Strokes a round more"), tell("In words")]
    return _table("near", heads, rows, [2.2, 1.0, 1.8])
