"""What a table of patterns assumes, in words for whoever reads its strokes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from bagwright.bag.club import Bag, Player
from bagwright.course.lies import Lie
from bagwright.dispersion import prior as p
from bagwright.strokes.kernel import Kernel
from bagwright.strokes.kernels import handicap_of
from bagwright.strokes.on_course import course_share
from bagwright.strokes.own_lies import OwnLie
from bagwright.strokes.rules import unread
from bagwright.words import join, tell, term


def said_of(
    bag: Bag, player: Player, full: Sequence[Kernel], lies: Mapping[tuple[str, Lie], OwnLie]
) -> tuple[str, ...]:
    """Everything that was assumed for the full shots of a player, each in one sentence."""
    return (*_of_player(player, full), *_of_shots(full), *_of_lies(lies), *_of_rules(bag))


def _of_player(player: Player, full: Sequence[Kernel]) -> Iterator[str]:
    if player.handicap is None:
        yield tell(
            "The handicap is not known: short game and putting are those of a {handicap:.0f}.",
            handicap=p.UNKNOWN_HANDICAP[0],
        )
    if all(kernel.strike.ball_speed_mps is None for kernel in full):
        yield tell("No ball speed was measured: descent, run and wind come from loft and carry.")
    yield tell(
        "A course adds {share:.0f} % of the carry to the spread along the line of full shots (published "
        "patterns by handicap).",
        share=100.0 * course_share(handicap_of(player)),
    )
    yield tell("The day's side (some 3 degrees) is taken as seen and aimed off.")


def _of_shots(full: Sequence[Kernel]) -> Iterator[str]:
    clubs = _once(k.shot.club for k in full if k.shot.swing == "stock" and not k.n_shots)
    if clubs:
        yield tell(
            "Never hit, so from the rest of the bag or the handicap, and wide: {clubs}.",
            clubs=join(", ", clubs),
        )
    hit = {kernel.shot.club for kernel in full if kernel.n_shots}
    swings = _once(k.shot.swing for k in full if k.shot.club in hit and not k.n_shots)
    if swings:
        yield tell(
            "Swings that some clubs were never hit with come from their other swings, wide: {swings}.",
            swings=join(", ", map(term, swings)),
        )


def _of_lies(lies: Mapping[tuple[str, Lie], OwnLie]) -> Iterator[str]:
    own = sorted({club for (club, _), mine in lies.items() if mine.n})
    if own:
        yield tell(
            "From rough, sand or under trees as the player hit them, drawn towards the table by how few they "
            "are: {clubs}.",
            clubs=join(", ", own),
        )


def _of_rules(bag: Bag) -> Iterator[str]:
    for club in bag.clubs:
        for text in unread(club):
            yield tell(
                "{club}: the use {text} names no lie that is known, so it forbids nothing.",
                club=club.name,
                text=repr(text[:60]),
            )


def _once(names: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(names))
