"""The most probable launches of very many shots from carry, apex and side: for tables of millions.

Figures and law are taken as exact (a millimetre); no ranges, use `infer_many` for those. Calm air only. Every
shot's last correction by a true flight is measured; a shot that still moved by more than `MOVED_M`, or whose
flight the fast schedule doubts, is done again by the damped adaptive search and marked.
"""

from __future__ import annotations

import itertools
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bagwright.errors import InputError
from bagwright.flight import batch
from bagwright.flight.launch import BALL_MASS_KG, BALL_RADIUS_M
from bagwright.units import RAD_S_PER_RPM, STANDARD_GRAVITY_MPS2

if TYPE_CHECKING:
    from bagwright.air import Air
    from bagwright.flight.launch import Scale

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

MOVED_M = 5e-3
"""A shot whose last correction moved a figure farther is done again."""

CHUNK = 4096
TRAIN = 3072
ROUNDS = 2
CORRECTIONS = 3
SD_M = 1e-3
EXPONENTS = np.array(
    sorted((e for e in itertools.product(range(6), repeat=3) if sum(e) <= 5), key=lambda e: (sum(e), e)),
    np.int64,
)
N_BENT = 35


def _tree() -> NDArray[np.int64]:
    """How each monomial comes from a lower one: its place and the variable it is multiplied by."""
    place = {tuple(int(v) for v in e): t for t, e in enumerate(EXPONENTS)}
    tree = np.zeros((len(EXPONENTS), 2), np.int64)
    for e, t in place.items():
        if t:
            k = next(i for i in range(3) if e[i])
            tree[t] = place[tuple(v - (i == k) for i, v in enumerate(e))], k
    return tree


TREE = _tree()


@dataclass(frozen=True, slots=True, eq=False)
class Explained:
    """Launches (n,), how far the last correction moved a figure (m), and which shots were done again.

    `settled` is False where even the adaptive search did not meet the figures; the launch is then its
    nearest.
    """

    ball_speed_mps: Floats
    launch_rad: Floats
    spin_rpm: Floats
    direction_rad: Floats
    spin_axis_rad: Floats
    moved_m: Floats
    redone: NDArray[np.bool_]
    settled: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """Polynomials of along, curve and apex around what is believed, for one air and level."""

    turn: Singles
    coefs: Singles
    drag_per_m: float
    lift_per_m: float
    shared: batch.Shared


def explain_many(
    carry_m: Any,
    apex_m: Any,
    offline_m: Any,
    mean: Floats,
    root: Floats,
    air: Air | None = None,
    scale: Scale | None = None,
    threads: int | None = None,
) -> Explained:
    """Most probable launches under normal beliefs.

    carry_m, apex_m, offline_m (n,); mean (n, 5) and root (n, 5, 5): centre and lower Cholesky factor of
    what is believed of (ln speed m/s, launch rad, ln spin rad/s, direction rad, spin axis rad), as `prior`
    gives them; direction and axis independent of the rest. Raises InputError where shapes do not fit or
    figures are missing.
    """
    from bagwright.air import STANDARD

    seen = _seen(carry_m, apex_m, offline_m, mean, root)
    air = air if air is not None else STANDARD
    drag, lift = (float(scale.drag), float(scale.lift)) if scale is not None else (1.0, 1.0)
    prior = _packed(mean, root)
    start = fit_start(mean, root, air.density_kg_m3, air.viscosity_pa_s, drag, lift)
    n = len(mean)
    q, moved, sure = (
        np.zeros((5, prior.shape[1]), np.float32),
        np.zeros(prior.shape[1], np.float32),
        np.zeros(n, bool),
    )

    def run(a: int) -> None:
        _chunk(prior, seen, start, q, moved, sure, a, n, (ROUNDS, CORRECTIONS))

    with ThreadPoolExecutor(threads or os.cpu_count() or 1) as pool:
        list(pool.map(run, range(0, n, CHUNK)))
    _longer(prior, seen, start, q, moved, sure, n)
    theta = _theta(prior, q, n)
    redo = ~(sure & (moved[:n] < MOVED_M) & np.isfinite(theta).all(axis=1))
    settled = np.ones(n, bool)
    if redo.any():
        theta[redo], settled[redo] = _again(seen[:, :n][:, redo], mean[redo], root[redo], air, drag, lift)
    return Explained(
        np.exp(theta[:, 0]), theta[:, 1], np.exp(theta[:, 2]) / RAD_S_PER_RPM, theta[:, 3], theta[:, 4],
        moved[:n].astype(np.float64), redo, settled,
    )  # fmt: skip


def _seen(carry_m: Any, apex_m: Any, offline_m: Any, mean: Floats, root: Floats) -> Singles:
    n = len(mean)
    if mean.shape != (n, 5) or root.shape != (n, 5, 5):
        raise InputError(
            f"explain_many: beliefs of shapes {mean.shape} and {root.shape}.", "Give (n, 5) and (n, 5, 5)."
        )
    seen = np.ones((3, _rounded(n)), np.float32)
    for i, (name, given) in enumerate((("carry_m", carry_m), ("apex_m", apex_m), ("offline_m", offline_m))):
        column = np.asarray(given, np.float64)
        if column.shape != (n,):
            raise InputError(
                f"explain_many: {name} has shape {column.shape}, beliefs {n}.", "Give one a shot."
            )
        bad = np.flatnonzero(~np.isfinite(column) | ((column <= 0.0) if i < 2 else (abs(column) > 300.0)))
        if len(bad):
            raise InputError(
                f"explain_many: {name}[{bad[0]}] is {column[bad[0]]:g} m.",
                "Leave that shot out, or use infer_many.",
            )
        seen[i, :n] = column
        seen[i, n:] = column[-1] if n else 1.0
    return seen


def _rounded(n: int) -> int:
    return -(-n // 64) * 64


def _packed(mean: Floats, root: Floats) -> Singles:
    """Beliefs as the lanes have them, (13, n rounded up)."""
    n = len(mean)
    prior = np.empty((13, _rounded(n)), np.float32)
    rows = [mean[:, i] for i in range(5)]
    rows += [root[:, i, j] for i, j in ((0, 0), (1, 0), (1, 1), (2, 0), (2, 1), (2, 2), (3, 3), (4, 4))]
    for k, row in enumerate(rows):
        prior[k, :n] = row
        prior[k, n:] = row[-1] if n else 0.0
    return prior


def _theta(prior: Singles, q: Singles, n: int) -> Floats:
    p, z = prior[:, :n].astype(np.float64), q[:, :n].astype(np.float64)
    return np.column_stack(
        [
            p[0] + p[5] * z[0],
            p[1] + p[6] * z[0] + p[7] * z[1],
            p[2] + p[8] * z[0] + p[9] * z[1] + p[10] * z[2],
            p[3] + p[11] * z[3],
            p[4] + p[12] * z[4],
        ]
    )


def fit_start(
    mean: Floats, root: Floats, density: float, viscosity: float, drag: float, lift: float
) -> Start:
    """Fly some launches spread over the beliefs and fit the polynomials to them (least squares)."""
    from bagwright.flight import _kernel_lanes as kernels

    k = 0.5 * density * np.pi * BALL_RADIUS_M**2 / BALL_MASS_KG
    shared = batch.Shared(0.0, 10.0, 1.4e-5 / BALL_RADIUS_M, (0.25, 7e4, 0.3, 4e4))
    draw = np.random.default_rng(20)
    pick = draw.integers(0, len(mean), TRAIN)
    z = np.clip(draw.standard_normal((TRAIN, 5)) * 1.35, -3.5, 3.5)
    theta = mean[pick] + np.einsum("nij,nj->ni", root[pick], z)
    theta[:, 1] = np.clip(theta[:, 1], 0.02, 1.2)
    theta[:, 3] = 0.0
    theta[:, 4] = np.clip(theta[:, 4], -1.0, 1.0)
    inp = np.zeros((10, TRAIN), np.float32)
    inp[0], inp[1], inp[3], inp[4] = (
        np.exp(theta[:, 0]), theta[:, 1], BALL_RADIUS_M * np.exp(theta[:, 2]), theta[:, 4],
    )  # fmt: skip
    inp[7], inp[8] = k * drag, k * lift
    out = batch.run(kernels, inp, shared, batch._NODES, batch._REST_AFTER).astype(np.float64)
    x = theta[:, :3]
    centre = x.mean(axis=0)
    values, vectors = np.linalg.eigh(np.cov(x.T) + 1e-8 * np.eye(3))
    turn3 = (vectors / (3.0 * np.sqrt(values))).T
    p = (x - centre) @ turn3.T
    basis = np.prod(p[:, None, :] ** EXPONENTS[None, :, :], axis=2)
    s = np.sin(theta[:, 4])[:, None]
    good = np.isfinite(out[[0, 1, 7]]).all(axis=0) & (out[0] > 1.0)
    even = np.hstack([basis, basis[:, :N_BENT] * s**2])[good]
    both = np.linalg.lstsq(even, out[[0, 7]].T[good], rcond=None)[0]
    side = np.linalg.lstsq((basis * s)[good], out[1][good], rcond=None)[0]
    coefs = np.zeros((14, len(EXPONENTS)))
    for m, main in enumerate((both[:56, 0], side, both[:56, 1])):
        coefs[4 * m] = main
        for e, c in zip(EXPONENTS, main, strict=True):
            for v in range(3):
                if e[v]:
                    lower = e - np.eye(3, dtype=np.int64)[v]
                    coefs[4 * m + 1 + v, _place(lower)] += e[v] * c
    coefs[12, :N_BENT], coefs[13, :N_BENT] = both[56:, 0], both[56:, 1]
    turn = np.column_stack([turn3, -turn3 @ centre]).astype(np.float32)
    return Start(turn, coefs.astype(np.float32), k * drag, k * lift, shared)


def _place(exponents: NDArray[np.int64]) -> int:
    return int(np.flatnonzero((exponents == EXPONENTS).all(axis=1))[0])


def _chunk(
    prior: Singles, seen: Singles, start: Start, q: Singles, moved: Singles, sure: Any, a: int, n: int,
    turns: tuple[int, int],
) -> None:  # fmt: skip
    """One chunk: start, then fly and correct; `sure` says which flights the fast schedule stands by."""
    from bagwright.flight import _inverse_lanes as lanes
    from bagwright.flight import _kernel_lanes as kernels

    part = slice(a, min(a + CHUNK, prior.shape[1]))
    own_prior, own_seen = _blocks(prior[:, part]), _blocks(seen[:, part])
    m, blocks = part.stop - a, len(own_prior)
    own_q, own_moved = np.zeros((blocks, 5 * 64), np.float32), np.zeros((blocks, 64), np.float32)
    inp, out = np.zeros((10, m), np.float32), np.empty((14, m), np.float32)
    inp[7], inp[8] = start.drag_per_m, start.lift_per_m
    h, g = np.empty((blocks, 3 * 64), np.float32), np.empty((blocks, lanes.N_SLOPES * 64), np.float32)
    w, room = np.empty(lanes.ROOM, np.float32), np.empty(kernels.ROOM, np.float32)
    share, again = batch.schedule_of(batch._NODES, batch._REST_AFTER)
    setting = batch.setting_of(start.shared)
    radius = np.float32(BALL_RADIUS_M)
    loose, tight = np.full(3, 1e-4, np.float32), np.full(3, SD_M**2, np.float32)
    tables = (start.turn, TREE, start.coefs)
    lanes.start(own_prior, own_q, own_seen, *tables, loose, turns[0], radius, h, g, own_moved, inp, w)
    for _ in range(turns[1]):
        kernels.fly_even(inp, out, share, again, setting, room)
        lanes.correct(own_prior, own_q, own_seen, tight, radius, out, h, g, own_moved, inp)
    q[:, part] = own_q.reshape(blocks, 5, 64).transpose(1, 0, 2).reshape(5, m)
    moved[part] = own_moved.reshape(m)
    end = min(part.stop, n)
    sure[a:end] = _sure(out, inp)[: end - a]


def _longer(
    prior: Singles, seen: Singles, start: Start, q: Singles, moved: Singles, sure: Any, n: int
) -> None:
    """The few that still move get more rounds and more corrections, still in lanes."""
    few = np.flatnonzero(~(sure & (moved[:n] < MOVED_M)))
    if not len(few):
        return
    places = np.resize(few, _rounded(len(few)))
    some_q, some_moved = np.zeros((5, len(places)), np.float32), np.zeros(len(places), np.float32)
    some_sure = np.zeros(len(few), bool)
    own_prior, own_seen = np.ascontiguousarray(prior[:, places]), np.ascontiguousarray(seen[:, places])
    for a in range(0, len(few), CHUNK):
        _chunk(
            own_prior,
            own_seen,
            start,
            some_q,
            some_moved,
            some_sure,
            a,
            len(few),
            (2 * ROUNDS, 3 * CORRECTIONS),
        )
    q[:, few], moved[few], sure[few] = some_q[:, : len(few)], some_moved[: len(few)], some_sure


def _blocks(rows: Singles) -> Singles:
    """Rows (k, m) as blocks (m / 64, 64 k): the numbers of 64 shots lie together, row after row."""
    k, m = rows.shape
    return np.ascontiguousarray(rows.reshape(k, m // 64, 64).transpose(1, 0, 2)).reshape(m // 64, k * 64)


def _sure(out: Singles, inp: Singles) -> NDArray[np.bool_]:
    """Which flights the short schedule may keep, by `batch`'s own rule for common launches in calm air."""
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        part = out[batch._LEG] / out[batch._T]
        limit = np.where(
            (inp[1] > 0.087) & (inp[1] < 0.70) & (inp[0] > 25.0), np.float32(1.5), np.float32(0.25)
        )
        return np.asarray((part > 0.015) & (part < 0.09) & (out[batch._DOUBT] < limit))


def _again(
    seen: Singles, mean: Floats, root: Floats, air: Air, drag: float, lift: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """The damped adaptive search for shots that the fast way gave up; whether each met its figures."""
    from bagwright.flight import _inverse_solve as solver
    from bagwright.flight._inverse_flight import APEX, CARRY, OFFLINE
    from bagwright.flight._inverse_many import compiled

    m = len(mean)
    means, roots = np.zeros((m, 7)), np.zeros((m, 7, 7))
    means[:, :5], roots[:, :5, :5] = mean, root
    means[:, 5], means[:, 6] = np.log(drag), np.log(lift)
    figures, weight = np.zeros((m, solver.N_SEEN)), np.zeros((m, solver.N_SEEN))
    figures[:, [CARRY, APEX, OFFLINE]] = seen.T
    weight[:, [CARRY, APEX, OFFLINE]] = 1.0 / SD_M
    theta, value, low, high = np.zeros((m, 7)), *(np.zeros((m, solver.N_SEEN)) for _ in range(3))
    steps, cost, evidence = np.zeros(m, np.int64), np.zeros(m), np.zeros(m)
    compiled()[1](
        means, roots, figures, weight, (BALL_MASS_KG, BALL_RADIUS_M, STANDARD_GRAVITY_MPS2, 1.4e-5, 0.0),
        np.tile((air.density_kg_m3, air.viscosity_pa_s), (m, 1)), np.tile((0.0, 0.0, 0.0, 10.0), (m, 1)),
        1e-6, 100, np.zeros((1, 7)), theta, low, high, value, steps, cost, evidence,
    )  # fmt: skip
    gap = np.abs(value[:, [CARRY, APEX, OFFLINE]] - seen.T).max(axis=1)
    return theta[:, :5], (steps >= 0) & (gap < MOVED_M)
