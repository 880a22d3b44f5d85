"""What a person reads after `pick`: the bag, what every club is worth, the bags that do as well."""

from __future__ import annotations

import signal
import threading
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

import click

from bagwright.cli import show
from bagwright.cli.layout import NOTHING, bullet, heading, paragraph, sure, table
from bagwright.cli.progress import Line
from bagwright.estimate import percent
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.pick.best import Done
    from bagwright.pick.result import RunnerUp, Worth
    from bagwright.tasks import PickAnswer, ProofChecked, SlotPlayed

_MOST_NEAR = 12
"""Near bags that are shown; the count of the rest is said, --json has more."""


class Watch:
    """Progress on standard error: one line on a terminal, else a line each half minute.

    The first Ctrl-C ends the search alone.
    """

    def __init__(self, quiet: bool) -> None:
        self._line = Line(quiet)
        self._stopped = False
        self._before: Any = None

    def __enter__(self) -> Watch:
        return self

    def holes(self, done: int, of: int) -> None:
        """Holes that are worked out."""
        self._line.say(f"holes worked out: {done} of {of}")

    def search(self, done: Done) -> None:
        """How far the search is."""
        if self._before is None and threading.current_thread() is threading.main_thread():
            self._before = signal.signal(signal.SIGINT, self._stop)
        self._line.say(
            f"bags: {done.bags}, best {done.strokes:.3f}, none below {done.bound:.3f}, open {done.open}"
        )

    def stopped(self) -> bool:
        """Whether the person asked for an end of the search."""
        return self._stopped

    def _stop(self, number: int, frame: object) -> None:
        if self._stopped:
            raise KeyboardInterrupt
        self._stopped = True
        click.echo("\nEnding with what is found; Ctrl-C again stops at once.", err=True)

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)
        self._line.clear()


def pick(answer: PickAnswer, system: System) -> None:
    """Show a pick."""
    from bagwright.tasks.pick_words import moves_words

    changed = f" {answer.changed}" if answer.changed else ""
    click.echo(
        f"{len(answer.clubs)} of at most {answer.slots} clubs, {answer.round:.2f} strokes a round{changed}:"
    )
    new: tuple[str, ...] = ()
    if answer.moves is not None:
        click.echo(moves_words(answer.moves, answer.currency))
        new = answer.moves.instead
    paragraph("  " + ", ".join(f"{club} (new)" if club in new else club for club in answer.clubs))
    for name, share in answer.rounds:
        click.echo(f"{name}: {100 * share:.0f} % of the rounds" if len(answer.rounds) > 1 else f"{name}.")
    if answer.today is not None:
        click.echo(f"Today's clubs: {answer.today:.2f} strokes a round ({answer.today - answer.round:+.3f}).")
    paragraph(answer.how_sure.proof)
    paragraph(answer.how_sure.shots)
    for one in answer.how_sure.further:
        bullet(
            f"{one.balls} more balls with {one.club} would change the choice in {percent(one.chance_to_change)} "
            f"of cases, worth {one.worth_strokes:.4f} strokes a round."
        )
    heading("What each club is worth: strokes a round of the same bag without it")
    table(
        ("club", "strokes", "used a round", "most on", "taken over by"),
        [_worth(one, len(answer.rounds) > 1) for one in answer.worth],
    )
    _near(answer)
    _anew(answer)
    _route(answer)
    _swaps(answer)
    for pin in answer.pins:
        click.echo(
            f"{pin.club} is carried in any case ({pin.reason}): costs {pin.strokes:.3f} strokes a round."
        )
    for said in answer.said:
        bullet(str(said))
    if answer.files:
        show.files(answer.files)


def _worth(one: Worth, several: bool) -> tuple[str, ...]:
    holes = ", ".join(
        f"{hole.hole}: {hole.strokes:.3f}{f' ({hole.round})' if several else ''}"
        for hole in one.holes[: 1 if several else None]
    )
    others = ", ".join(f"{other.club} +{other.times:.1f}" for other in one.takes_over)
    worth = f"{one.strokes:.3f}"
    if one.range is not None:
        worth += f" ({one.range.low:.3f} to {one.range.high:.3f})"
    return one.club, worth, f"{one.times:.1f}", holes or NOTHING, others or NOTHING


def _near(answer: PickAnswer) -> None:
    if not answer.runners_up:
        return
    heading("Bags that do about as well: choose by price, feel and look")
    table(
        ("strokes more", "best of them", "out", "in instead"),
        [_runner(one) for one in answer.runners_up[:_MOST_NEAR]],
    )
    if answer.near > _MOST_NEAR:
        click.echo(f"and {answer.near - _MOST_NEAR} more.")


def _runner(one: RunnerUp) -> tuple[str, ...]:
    more = "a tie" if one.tie else f"{one.more:.3f}"
    chance = NOTHING if one.chance is None else percent(one.chance)
    return more, chance, ", ".join(one.without), ", ".join(one.instead)


def _anew(answer: PickAnswer) -> None:
    if not answer.anew:
        return
    heading("Solved anew on every yard of the holes, every shot and aim free")
    picked = set(answer.anew[0].clubs)
    rows = [
        (
            f"{one.round:.3f}", f"{one.more:+.3f}", f"{one.said_more:+.3f}",
            ", ".join(sorted(picked - set(one.clubs))) or NOTHING,
            ", ".join(sorted(set(one.clubs) - picked)) or NOTHING,
        )
        for one in answer.anew
    ]  # fmt: skip
    table(("strokes a round", "above the first", "as said above", "out", "in instead"), rows)


def _route(answer: PickAnswer) -> None:
    from bagwright.tasks.pick_words import moves_words

    route = answer.route
    if route is None:
        return
    heading("The cheapest way to a bag that does about as well (within 0.05 strokes a round)")
    more = f"{route.more:.3f} strokes a round more than the best"
    if not route.buys:
        click.echo(f"Buy nothing: the best bag of today's clubs costs {more}.")
    else:
        click.echo(f"Buy {', '.join(route.buys)}: {more}.")
        if route.nothing_more is not None:
            click.echo(f"Buying nothing costs {route.nothing_more:.3f} strokes a round.")
    if answer.route_moves is not None:
        click.echo(moves_words(answer.route_moves, answer.currency))
    if route.nothing_chance is not None:
        chance = route.nothing_chance
        does = "as well" if chance >= 0.5 else "worse"
        click.echo(f"Buying nothing does {does}: {sure(max(chance, 1.0 - chance))}.")
    if route.no_price:
        click.echo(f"Left out, as nobody gave a price: {', '.join(route.no_price)}.")


def _swaps(answer: PickAnswer) -> None:
    if not answer.swaps:
        return
    heading("What is swapped where: each one's own best bag against the one above")
    rows = [
        (
            one.scene, ", ".join(one.without) or NOTHING, ", ".join(one.instead) or NOTHING,
            f"{one.saves:.3f}{'' if one.proven else ' (not proven)'}",
        )
        for one in answer.swaps
    ]  # fmt: skip
    table(("where", "out", "in instead", "saves there"), rows)


def slot(played: SlotPlayed) -> None:
    """Show a contested slot on a course: its job, each build in it, what further balls are worth."""
    from bagwright.report.pick.slot_words import build_words

    heading("On the course, before the first ball")
    paragraph(played.job)
    paragraph(played.leaders)
    table(
        ("build", "in the slot", "used a round", ""),
        [
            (
                one.club,
                str(build_words(one)),
                f"{one.used:.1f}",
                "" if one.worth_hitting else "not worth hitting",
            )
            for one in played.builds
        ],
    )
    paragraph(played.next_sentence)


def checked(found: ProofChecked, place: Path) -> None:
    """Show what the check of a proof found."""
    if found.holds:
        paragraph(
            f"The proof holds: under this model and these inputs no allowed bag is better than {found.strokes:.4f} "
            f"strokes, and the {found.near} bags within {found.within:g} strokes are all there are."
        )
    elif found.unfinished:
        paragraph(
            f"The proof is unfinished: its search was stopped, {found.leaves} parts are closed and right, "
            f"{found.open} are open. So far: no allowed bag is below {found.bound:.4f} strokes; the best one found "
            f"costs {found.strokes:.4f}: {', '.join(found.clubs)}."
        )
        click.echo(f"Go on with the same words as before and --resume {place} --proof {place}")
    else:
        click.echo("The proof does not hold: the file was changed or damaged, or is of another problem.")
        for fault in found.faults:
            bullet(fault)
    click.echo(f"{found.leaves} parts checked, {found.bags} bags worked out, problem {found.problem[:16]}.")
