"""A visit's order of balls in the database and as the pure queue: one made from the other, and steps back."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bagwright.store.convert import club_names, core_player
from bagwright.store.models import Candidate, PlannedBall, Visit
from bagwright.trial.live import ExtraBall, Joined, LiveBall, Queue, renumbered

Snapshot = list[list[Any]]
"""One list a ball, in order: key of its row, key of its club, swing, warm-up or not, state."""


@dataclass(frozen=True, slots=True)
class Held:
    """A visit's order as a queue: `rows[i]` stands behind ball i, `clubs` behind the names."""

    queue: Queue
    rows: tuple[PlannedBall, ...]
    clubs: dict[str, int]

    def place_of(self, ball_id: int) -> int | None:
        """The place, from 1, of the ball with this key; None where it is gone."""
        return next((i for i, row in enumerate(self.rows, start=1) if row.pk == ball_id), None)


def held(visit: Visit, block: int = 3) -> Held:
    """The order of a visit as it stands in the database."""
    rows = tuple(visit.queue.select_related("shot").order_by("n"))
    names = club_names([visit.player_id])
    balls = tuple(
        LiveBall(
            n,
            names[row.club_id],
            row.swing,
            row.warm_up,
            row.state,  # type: ignore[arg-type]
            row.shot.number if row.shot is not None else None,
            row.first_after_change,
        )
        for n, row in enumerate(rows, start=1)
    )
    planned = {row.shot_id for row in rows}
    shots = visit.shots.filter(undone_at__isnull=True).order_by("number")
    extras = tuple(
        ExtraBall(names[club], swing, number)
        for key, club, swing, number in shots.values_list("pk", "club_id", "swing", "number")
        if key not in planned
    )
    queue = Queue(balls, extras, player=core_player(visit.player), block=block)
    joined = tuple(_joined(visit, queue, names))
    return Held(replace(queue, joined=joined), rows, {name: key for key, name in names.items()})


def _joined(visit: Visit, queue: Queue, names: dict[int, str]) -> Iterable[Joined]:
    """Candidates that came in after test balls of the others."""
    late = Candidate.objects.filter(visit=visit, added_after__gt=0)
    clubs = set(queue.candidates)
    numbers = [b.number for b in queue.balls if b.state == "hit" and not b.warm_up and b.number is not None]
    numbers += [ball.number for ball in queue.extras if ball.club in clubs]
    for club_id, after in late.values_list("club_id", "added_after"):
        yield Joined(names[club_id], sum(1 for number in numbers if number <= after))


def write(visit: Visit, before: Held, queue: Queue) -> list[PlannedBall]:
    """Put a changed queue in place of the order; a ball that was there keeps its row's key."""
    rows = _rows_for(visit, before, queue)
    put(visit, rows)
    return rows


def put(visit: Visit, rows: Sequence[PlannedBall]) -> None:
    """Put these rows, numbered from 1, in place of the visit's order."""
    for n, row in enumerate(rows, start=1):
        row.n = n
    visit.queue.all().delete()
    PlannedBall.objects.bulk_create(rows)


def _rows_for(visit: Visit, before: Held, queue: Queue) -> list[PlannedBall]:
    """A row for each ball of the changed queue, with the key that the ball had before."""
    old: list[PlannedBall | None] = _same_places(before, queue)
    taken = {row.pk for row in old if row is not None}
    same: dict[tuple[Any, ...], deque[PlannedBall]] = defaultdict(deque)
    for row, was in zip(before.rows, before.queue.balls, strict=True):
        if row.pk not in taken:
            same[*_kind(was), was.state, was.number].append(row)
    for i, ball in enumerate(queue.balls):
        pool = same[*_kind(ball), ball.state, ball.number]
        if old[i] is None and pool:
            old[i] = pool.popleft()
    left: dict[tuple[Any, ...], deque[PlannedBall]] = defaultdict(deque)
    for (club, swing, warm_up, state, _number), pool in same.items():
        if state != "hit":
            left[club, swing, warm_up].extend(pool)
    made = []
    for ball, kept in zip(queue.balls, old, strict=True):
        pool = left[_kind(ball)]
        row_before = kept if kept is not None else (pool.popleft() if pool else None)
        made.append(
            PlannedBall(
                pk=row_before.pk if row_before is not None else None,
                visit=visit,
                club_id=before.clubs[ball.club],
                swing=ball.swing,
                warm_up=ball.warm_up,
                first_after_change=ball.first_after_change,
                state=ball.state,
                shot_id=row_before.shot_id if row_before is not None and ball.state == "hit" else None,
            )
        )
    return made


def _same_places(before: Held, queue: Queue) -> list[PlannedBall | None]:
    """The rows of balls that stand where they stood, so that the very ball that was skipped is the skipped one.

    Where balls came in or went, a place says nothing: none are given.
    """
    if len(before.rows) != len(queue.balls):
        return [None] * len(queue.balls)
    return [
        row if (_kind(was), was.number) == (_kind(ball), ball.number) else None
        for row, was, ball in zip(before.rows, before.queue.balls, queue.balls, strict=True)
    ]


def _kind(ball: LiveBall) -> tuple[str, str, bool]:
    return ball.club, ball.swing, ball.warm_up


def snapshot(rows: Iterable[PlannedBall]) -> Snapshot:
    """What a step back needs to know of an order."""
    return [[row.pk, row.club_id, row.swing, row.warm_up, row.state] for row in rows]


def restore(visit: Visit, wanted: Snapshot) -> None:
    """Let the order be as it was, except for what happened to balls since: a ball that was hit stays hit.

    One that was hit in the order that is taken back takes the next ball of its club and swing in the order
    that comes back, and is an extra where that has none.
    """
    now = {row.pk: row for row in visit.queue.select_related("shot")}
    known = {entry[0] for entry in wanted}
    there = set(visit.player.clubs.filter(removed_at__isnull=True).values_list("pk", flat=True))
    every = set(visit.player.clubs.values_list("pk", flat=True))
    rows = []
    for key, club_id, swing, warm_up, state in wanted:
        row = now.get(key)
        if row is not None and row.state == "hit":
            rows.append(row)
        elif club_id in every:
            state = "waiting" if state == "hit" else state
            state = state if club_id in there else "skipped"
            rows.append(
                PlannedBall(
                    pk=key, visit=visit, club_id=club_id, swing=swing, warm_up=warm_up, state=state, shot=None
                )
            )
    loose = [row for row in now.values() if row.pk not in known and row.shot is not None]
    for hit in sorted(loose, key=lambda row: row.shot.number if row.shot else 0):
        place = next(
            (r for r in rows if r.state == "waiting" and (r.club_id, r.swing) == (hit.club_id, hit.swing)),
            None,
        )
        if place is not None:
            place.state, place.shot_id = "hit", hit.shot_id
    put(visit, rows)
    again = held(visit)
    write(visit, again, renumbered(again.queue))
