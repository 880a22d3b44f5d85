"""How often the 90 % ranges hold the truth, and how well the model tells mishits from solid strikes.

`bag` cells: a visit of 76 balls in two mirrored passes over twelve clubs, the counts of COUNTS dealt to
them at random, and one fit of everything. `cold` cells: one club alone, fitted after 3, 4, 5, 8 and 12 balls
of a run.
The truth of carry and side is the centre of solid strikes, warmed up and fresh, without form wander.

    .venv/bin/python -m bench.study_coverage [--only "T, bag"] [--visits 1000]
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from scipy.stats import chi2
from scipy.stats import t as student

from bagwright.dispersion.fit import fit_dispersion
from bagwright.dispersion.marks import THRESHOLD
from bagwright.units import M_PER_YD
from bench._machine import banner
from bench._study import Cell, Result, arguments, chosen, commit, run_cells, share, table
from bench.world import (
    BAD_READ,
    MISHIT,
    SOLID,
    WORLDS,
    Floats,
    Golfer,
    Truth,
    Visit,
    bag_of,
    hit,
    mirrored_passes,
    new_bag,
    new_golfer,
)

COUNTS = (3, 3, 4, 4, 5, 5, 6, 6, 8, 8, 12, 12)
SHOWN = (3, 4, 5, 8, 12)
LEVELS = (THRESHOLD, 0.5, 0.45, 0.4, 0.8)
"""Chances of "not solid" above which a shot counts as marked; the first is the program's own."""
MEASURES = ("carry", "side", "carry sd", "side sd", "area")
FIELDS = ("carry_m", "offline_m", "carry_sd_m", "offline_sd_m", "area90_m2")


def cells() -> list[Cell]:
    """List every world, bag known and cold; all worlds meet the same golfers."""
    return [
        Cell(f"{name}, {how}", "coverage", {"world": name, "how": how})
        for name in WORLDS
        for how in ("bag", "cold")
    ]


def work(cell: Cell, rng: np.random.Generator) -> Result:
    """Fit one visit; a row for each club and count of balls."""
    world = WORLDS[cell.options["world"]]
    golfer = new_golfer(rng, world)
    clubs = new_bag(rng, world, golfer)
    counts = [int(n) for n in rng.permutation(COUNTS)]
    if cell.options["how"] == "bag":
        visit = hit(rng, world, golfer, clubs, mirrored_passes(counts))
        return {"rows": fit_rows(golfer, visit, set(range(len(clubs))))}
    one = int(rng.integers(len(clubs)))
    visit = hit(rng, world, golfer, clubs, [one] * max(SHOWN))
    return {"rows": [row for n in SHOWN for row in fit_rows(golfer, visit.first(n), {one})]}


def fit_rows(golfer: Golfer, visit: Visit, wanted: Iterable[int]) -> list[Result]:
    """Fit through the public door; ranges in metres beside the truth, and what became of the shots."""
    bag = bag_of(golfer, visit.clubs)
    fits = fit_dispersion(visit.table, bag.player, bag)
    not_solid = 1.0 - np.asarray(fits.solid_probability)
    rows = []
    for i in wanted:
        mine = visit.which == i
        truth = visit.clubs[i]
        dispersion = fits[(truth.club.name, "stock")]
        ranges = [getattr(dispersion, name) for name in FIELDS]
        rows.append(
            {
                "n": int(mine.sum()),
                "club": i,
                "expected": truth.expected_yd,
                "truth": [round(v, 4) for v in truths(truth)],
                "fit": [[round(v, 4) for v in (e.value, e.low, e.high)] for e in ranges],
                "raw": raw_ranges(visit.carry_yd[mine] * M_PER_YD),
                "marks": count_marks(visit.kind[mine], visit.short_by_sd()[mine], not_solid[mine]),
            }
        )
    return rows


def truths(truth: Truth) -> list[float]:
    """Give a club's five truths in metres and square metres."""
    return [
        truth.centre_yd * M_PER_YD,
        truth.side_yd * M_PER_YD,
        truth.carry_sd_yd * M_PER_YD,
        truth.side_sd_yd * M_PER_YD,
        truth.area90_yd2 * M_PER_YD**2,
    ]


def raw_ranges(carry: Floats) -> list[list[float]]:
    """Give plain practice on all shots: mean with Student's t range, sd with its chi-square range."""
    n = len(carry)
    mean, sd = float(carry.mean()), float(carry.std(ddof=1))
    half = float(student.ppf(0.95, n - 1)) * sd / np.sqrt(n)
    low, high = (sd * np.sqrt((n - 1) / chi2.ppf(p, n - 1)) for p in (0.95, 0.05))
    return [[round(float(v), 4) for v in row] for row in ((mean, mean - half, mean + half), (sd, low, high))]


def count_marks(kind: np.ndarray, short_by_sd: Floats, not_solid: Floats) -> Result:
    """Count shots of each sort and those marked at each level; a shot that the fit left out is marked."""
    marked = np.where(np.isnan(not_solid), 1.0, not_solid)
    groups = {
        "solid": kind == SOLID,
        "mishit": kind == MISHIT,
        "short": (kind != BAD_READ) & (short_by_sd > 3.0),
        "bad": kind == BAD_READ,
    }
    return {
        name: [int(group.sum()), *(int((marked[group] > level).sum()) for level in LEVELS)]
        for name, group in groups.items()
    }


def by_count(results: list[Result]) -> Mapping[int, list[tuple[int, Result]]]:
    """Sort a cell's rows by count of balls, each with its visit's number."""
    found: dict[int, list[tuple[int, Result]]] = {n: [] for n in SHOWN}
    for result in results:
        for row in result["rows"]:
            if row["n"] in found:
                found[row["n"]].append((result["visit"], row))
    return found


def coverage_row(rows: list[tuple[int, Result]]) -> list[str]:
    """Give coverage of the five ranges in percent, the largest clustered standard error, and errors."""
    truth = np.array([row["truth"] for _, row in rows])
    fit = np.array([row["fit"] for _, row in rows])
    inside = (fit[:, :, 1] <= truth) & (truth <= fit[:, :, 2])
    visits = np.array([visit for visit, _ in rows])
    error = max(clustered_error(inside[:, k], visits) for k in range(len(MEASURES)))
    expected = np.array([row["expected"] for _, row in rows]) * M_PER_YD
    rmse = 100.0 * np.sqrt(np.mean(((fit[:, 0, 0] - truth[:, 0]) / expected) ** 2))
    bias = 100.0 * np.mean((fit[:, 0, 0] - truth[:, 0]) / expected)
    log_sd = np.log(fit[:, 2, 0] / truth[:, 2])
    width = np.mean(fit[:, 0, 2] - fit[:, 0, 1]) / M_PER_YD
    shares = [share(int(inside[:, k].sum()), len(rows)) for k in range(len(MEASURES))]
    spread = f"{np.mean(log_sd):+.2f} / {np.sqrt(np.mean(log_sd**2)):.2f}"
    return [*shares, f"{100 * error:.1f}", f"{bias:+.2f} / {rmse:.1f}", f"{width:.0f}", spread]


def clustered_error(hits: np.ndarray, visits: np.ndarray) -> float:
    """Give the standard error of a share whose cases come in visits: from the visits' sums of residuals."""
    residual = hits - hits.mean()
    totals = np.bincount(visits, weights=residual)
    return float(np.sqrt(np.sum(totals**2)) / len(hits))


def raw_row(rows: list[tuple[int, Result]]) -> list[str]:
    """Give coverage of plain practice for carry and its sd in percent."""
    truth = np.array([[row["truth"][0], row["truth"][2]] for _, row in rows])
    raw = np.array([row["raw"] for _, row in rows])
    inside = (raw[:, :, 1] <= truth) & (truth <= raw[:, :, 2])
    return [share(int(inside[:, k].sum()), len(rows)) for k in range(2)]


def mark_row(rows: list[tuple[int, Result]]) -> list[str]:
    """Give shares marked: mishits and bad reads; then more than 3 sd short / solid (false) at every level."""
    names = ("mishit", "bad", "short", "solid")
    sums = {name: np.sum([row["marks"][name] for _, row in rows], axis=0) for name in names}
    first = [share(int(sums[name][1]), int(sums[name][0])) for name in names[:2]]
    both = [
        " / ".join(share(int(sums[name][1 + k]), int(sums[name][0])) for name in names[2:])
        for k in range(len(LEVELS))
    ]
    return [*first, *both]


def compact(results: Mapping[str, list[Result]]) -> str:
    """Write a row a cell: coverage at 3 / 4 / 5 / 8 / 12 balls for every measure and for plain practice."""
    rows = []
    for name, found in results.items():
        by = [(coverage_row(r), raw_row(r)) for r in by_count(found).values() if r]
        columns = [" / ".join(model[k] for model, _ in by) for k in range(len(MEASURES))]
        columns += [" / ".join(raw[k] for _, raw in by) for k in range(2)]
        if by:
            rows.append([name, *columns])
    return table(["world", *MEASURES, "plain carry", "plain carry sd"], rows)


def compact_marks(results: Mapping[str, list[Result]]) -> str:
    """Write a row a cell: found and false marks at 3 / 4 / 5 / 8 / 12 balls, at the program's level."""
    rows = []
    for name, found in results.items():
        by = [[row["marks"] for _, row in r] for r in by_count(found).values() if r]
        columns = []
        for group in ("mishit", "short", "solid", "bad"):
            sums = [np.sum([marks[group] for marks in of_count], axis=0) for of_count in by]
            columns.append(" / ".join(share(int(s[1]), int(s[0])) for s in sums))
        if by:
            rows.append([name, *columns])
    return table(["world", "all mishits", "> 3 sd short", "solid (false)", "bad reads"], rows)


def details(results: Mapping[str, list[Result]]) -> str:
    """Write both tables with a row for every cell and count of balls."""
    coverage, marks = [], []
    for name, found in results.items():
        for n, rows in by_count(found).items():
            if rows:
                coverage.append([name, n, len(rows), *coverage_row(rows), *raw_row(rows)])
                marks.append([name, n, *mark_row(rows)])
    head = [
        "world",
        "balls",
        "clubs",
        *MEASURES,
        "s.e.",
        "carry bias / rmse %",
        "width yd",
        "ln sd bias / rmse",
    ]
    both = [f"> 3 sd short / false at {level}" for level in LEVELS]
    return "\n\n".join(
        (
            table(head, coverage),
            table(["world", "balls", "mishits", "bad reads", *both], marks),
        )
    )


def main() -> None:
    """Run the cells and print the tables."""
    parser = arguments(__doc__ or "")
    parser.add_argument("--details", action="store_true", help="a row for every count of balls, with errors")
    options = parser.parse_args()
    banner()
    print("commit", commit())
    results = run_cells("coverage", chosen(cells(), options), work, options)
    print(details(results) if options.details else f"{compact(results)}\n\n{compact_marks(results)}")


if __name__ == "__main__":
    main()
