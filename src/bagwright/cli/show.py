"""What a person reads on the terminal after each command."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

import click

from bagwright.cli.layout import (
    NOTHING,
    Ruler,
    bullet,
    degrees,
    heading,
    number,
    paragraph,
    share,
    sure,
    table,
)
from bagwright.cli.show_strikes import strikes_table
from bagwright.estimate import percent
from bagwright.units import System

if TYPE_CHECKING:
    from bagwright.bag.rules import Check
    from bagwright.distances import DistanceTable
    from bagwright.shots.result import ReadResult
    from bagwright.tasks import DemoResult
    from bagwright.trial.brief import Brief, RankedBuild
    from bagwright.trial.plan import Plan, PlannedBall
    from bagwright.trial.result import Verdict

_MOST_ROWS = 12
"""How many rows of a long list are shown; the count of the rest is said, --json has all."""
_SLOW = 20_000
"""From this many rows on, progress is shown."""


class Progress:
    """A line of progress on standard error, on a terminal only, for work that takes a while."""

    def __init__(self, quiet: bool) -> None:
        self._on = not quiet and sys.stderr.isatty()
        self._said = False

    def __enter__(self) -> Progress:
        return self

    def __call__(self, done: int, total: int) -> None:
        """Say how far the work is; short work with few parts is said in parts, long tables from 20,000 rows on."""
        if self._on and (total < 100 or total >= _SLOW):
            self._said = True
            click.echo(f"\r{100 * done // max(total, 1):3d} %", nl=False, err=True)

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._said:
            click.echo("\r      \r", nl=False, err=True)


def account(result: ReadResult, system: System, out: Path | None) -> None:
    """Show what was understood of shot tables."""
    for read in result.files:
        units = f", units in row {read.units_row}" if read.units_row else ""
        click.echo(f"{read.file}: headings in row {read.header_row}{units}, {read.rows_read} rows")
    click.echo(
        f"{result.rows_read} rows read = {result.accepted} accepted + {len(result.rejected)} rejected "
        f"+ {len(result.left_out)} left out"
    )
    heading("Columns")
    rows = [
        (c.header or "(no heading)", c.name or "not used", c.unit or NOTHING, c.how) for c in result.columns
    ]
    table(("heading", "understood as", "unit", "how"), rows)
    _clubs(result)
    _list("Rejected", [f'{r.file} row {r.row}, {r.column}: "{r.value}": {r.reason}' for r in result.rejected])
    _list("Left out", [f"{r.file} row {r.row}: {r.reason}" for r in result.left_out])
    flags = [
        f"{f.file} row {f.row}: {f.mark.kind}"
        + (f" ({f.mark.reason})" if f.mark.reason else "")
        + ("" if f.mark.author != "model" else ", suggested")
        + ("" if f.mark.probability is None else f", {percent(f.mark.probability)} sure")
        for f in result.flagged
    ]
    _list("Marked", flags)
    _list(
        "Carries against launches", [f"{f.file}: {f.words}" if f.file else f.words for f in result.findings]
    )
    _questions(result)
    if out is not None:
        click.echo(f"\nWritten: {out}")


def _clubs(result: ReadResult) -> None:
    counts = Counter(zip(result.table.text("club"), result.table.text("swing"), strict=True))
    heading("Shots by club and swing")
    rows = [
        (
            club or "(no club)",
            swing,
            str(n),
            "known by this name only" if club in result.unknown_clubs else "",
        )
        for (club, swing), n in list(counts.items())[:60]
    ]
    table(("club", "swing", "shots", ""), rows)


def _questions(result: ReadResult) -> None:
    if not result.questions:
        return
    heading("Questions that the tables leave open")
    for question in result.questions:
        need = "needed" if question.needed else "may stay open"
        bullet(f"{question.file}: {question.text} [{need}]")
        for option in question.options:
            click.echo(f'      --answer "{question.key}={option}"')


def _list(title: str, lines: Sequence[str]) -> None:
    if not lines:
        return
    heading(f"{title} ({len(lines)})")
    for line in lines[:_MOST_ROWS]:
        bullet(line)
    if len(lines) > _MOST_ROWS:
        click.echo(f"  and {len(lines) - _MOST_ROWS} more; --json lists all")


def verdict(result: Verdict, system: System) -> None:
    """Show a verdict: the answer, the candidates, the four sides, what is open, the cautions."""
    ruler = Ruler(system)
    paragraph(result.sentence)
    heading(f"Candidates (spot: {ruler.with_unit(result.spot_m)}, {result.spot_from})")
    rows = [
        (
            c.name + (" (present)" if c.present else ""),
            str(c.n_shots),
            ruler.range(c.carry_m),
            ruler.range(c.miss_m, 1),
            percent(c.chance),
        )
        for c in result.candidates
    ]
    table(
        ("", "balls", f"carry, {ruler.unit} (90 % range)", f"average miss, {ruler.unit}", "does best"), rows
    )
    for name, side in (
        ("Strike", result.strike), ("Flight", result.flight), ("Dispersion", result.dispersion),
        ("Place in the bag", result.place),
    ):  # fmt: skip
        ahead = side.leader if side.probability >= 0.60 else "nobody ahead yet"
        heading(f"{name}: {ahead}, {sure(side.probability)}")
        paragraph(side.sentence)
    _side_tables(result, ruler)
    heading("More balls")
    paragraph(result.next_sentence)
    for line in result.weights:
        added = ", ".join(f"{club} +{ruler.length(metres, 1)}" for club, metres in line.added_m)
        paragraph(f"Weight on {line.name}: {ruler.with_unit(line.m_per_unit, 1)} {line.unit} ({added}).")
    counts = Counter(out.reason for out in result.shots_left_out)
    out = "; ".join(f"{n} {reason}" for reason, n in counts.most_common())
    click.echo(
        f"\n{result.shots_used} shots used, {len(result.shots_left_out)} left out"
        + (f": {out}" if out else "")
    )
    if result.shots_used > sum(c.n_shots for c in result.candidates):
        click.echo("Shots with other clubs and swings count too: they tell how this player's balls spread.")
    _list("Mind", result.cautions)


def _side_tables(result: Verdict, ruler: Ruler) -> None:
    heading("Strike and spread")
    strikes = {line.name: line for line in result.strike.lines}
    rows = [
        (
            line.name,
            share(strikes[line.name].mishit_share) if line.name in strikes else NOTHING,
            ruler.range(line.carry_sd_m, 1),
            ruler.range(line.offline_sd_m, 1),
            ruler.side(line.offline_m),
            share(line.beyond_share),
        )
        for line in result.dispersion.lines
    ]
    unit = ruler.unit
    table(
        ("", "mishits", f"depth spread, {unit}", f"side spread, {unit}", f"centre, {unit}", "beyond width"),
        rows,
    )
    if any(line.flown is not None for line in result.flight.lines):
        strikes_table(result.flight.lines, ruler)
    heading("Swings")
    swings = [
        (
            f"{line.name}, {swing.swing}", str(swing.n_shots), ruler.range(swing.carry_m),
            ruler.range(swing.total_m), ruler.height(swing.apex_m), degrees(swing.descent_rad),
        )
        for line in result.flight.lines
        for swing in line.swings
    ]  # fmt: skip
    table(("", "balls", f"carry, {unit}", f"total, {unit}", "height", "descent"), swings)


def distances(result: DistanceTable, system: System) -> None:
    """Show the bag's carries, steps and what stands out."""
    ruler = Ruler(system)
    rows = [
        (
            club.club if club.used == "measured" else f"{club.club} (predicted)",
            number(club.loft_deg),
            str(club.n_shots),
            ruler.range(club.carry_m),
            ruler.range(club.carry_sd_m, 1),
            ruler.side(club.offline_m),
            share(club.mishit_share),
        )
        for club in result.clubs
    ]
    unit = ruler.unit
    head = (
        "club",
        "loft",
        "balls",
        f"carry, {unit} (90 % range)",
        f"depth spread, {unit}",
        f"side, {unit}",
        "mishits",
    )
    table(head, rows)
    swings = [
        (f"{club.club}, {swing.swing}", str(swing.n_shots), ruler.range(swing.carry_m))
        for club in result.clubs
        for swing in club.swings
        if swing.swing != "stock"
    ]
    if swings:
        heading("Other swings")
        table(("", "balls", f"carry, {unit}"), swings)
    heading("Steps")
    steps = [(f"{s.longer} to {s.shorter}", ruler.range(s.step_m), s.word) for s in result.steps]
    table(("", f"step, {unit}", ""), steps)
    heading("What stands out")
    if not result.findings:
        click.echo("  Nothing: the steps are even as far as these balls can tell.")
    for finding in result.findings:
        told = finding.in_system(system)
        bullet(f"{told.words} {told.next_step}".rstrip())


def check(result: Check, system: System) -> None:
    """Show what the limits say of a bag."""
    click.echo("Within the limits that were checked." if result.within_limits else "A limit is broken.")
    for finding in result.findings:
        told = finding.in_system(system)
        source = f" [{told.source}]" if told.source and told.source not in told.words else ""
        bullet(f"{told.words} {told.next_step}".rstrip() + source)


def brief(result: Brief, system: System) -> None:
    """Show what a slot must do and who on the rack may do it."""
    ruler = Ruler(system)
    paragraph(result.sentence)
    heading("Candidates by their chance of landing in the band")
    table(
        ("", "status", f"carry, {ruler.unit} (90 % range)", "chance", ""), _ranked(result.candidates, ruler)
    )
    if result.not_worth_hitting:
        heading("Not worth hitting")
        table(("", "status", f"carry, {ruler.unit}", "chance", ""), _ranked(result.not_worth_hitting, ruler))
    _list("Mind", result.cautions)


def _ranked(builds: Sequence[RankedBuild], ruler: Ruler) -> list[tuple[str, ...]]:
    return [
        (
            b.club,
            b.status,
            ruler.range(b.carry_m) + ("" if b.measured else " predicted"),
            percent(b.probability),
            b.reason,
        )
        for b in builds
    ]


def plan(result: Plan) -> None:
    """Show a plan as the list of who hits what next."""
    _list("First", result.cautions)
    heading(
        f"{len(result.order)} balls, {result.test_balls} of them count; {result.minutes:.0f} minutes "
        f"with {result.hand_over_minutes:.0f} to hand over"
    )
    rows = []
    for run in _runs(result.order):
        first = run[0]
        numbers = f"{first.n}" if len(run) == 1 else f"{first.n}-{run[-1].n}"
        rows.append((numbers, first.club, first.swing, "warm-up" if first.warm_up else ""))
    table(("ball", "club", "swing", ""), rows)
    click.echo(
        "\nNote the first ball after each change of club; mark mishits and bad reads, never delete them."
    )
    _list("Dropped", [f"{d.balls} with {d.club}, {d.swing}: {d.reason}" for d in result.dropped])


def _runs(order: Sequence[PlannedBall]) -> list[list[PlannedBall]]:
    runs: list[list[PlannedBall]] = []
    for ball in order:
        last = runs[-1][-1] if runs else None
        if last and (last.club, last.swing, last.warm_up) == (ball.club, ball.swing, ball.warm_up):
            runs[-1].append(ball)
        else:
            runs.append([ball])
    return runs


def files(paths: Sequence[Path]) -> None:
    """Show which files were written."""
    for path in paths:
        click.echo(f"Written: {path}")


def demo(result: DemoResult, system: System) -> None:
    """Show the demo's distances and answer, and where the files are."""
    click.echo("An invented player, two visits, one contested place in the bag.\n")
    distances(result.distances, system)
    heading("The contested place: the answer as the report's first page gives it\n")
    for line in result.answer:
        paragraph(line) if not line.startswith("  ") else bullet(line.strip())
    if result.pick is not None:
        from bagwright.cli import show_pick

        heading("The best bag on the demo's course\n")
        show_pick.pick(result.pick, system)
    heading("Files")
    files(result.files)
