# mypy: ignore-errors
"""Carry, apex and side to the most probable launch, many shots side by side in lanes of single precision.

Every loop runs over lanes inside and has no branch, so that the compiler does many shots with each
instruction. The start comes from polynomials fitted to this very call's air (see `explain`); each
correction is a Gauss-Newton step in the space of the three figures, with the polynomials' slopes and the
true flight's misfit.

Standardised unknowns q (5): (ln speed, launch, ln spin) = mean + root q[0:3] with root lower triangular,
direction and spin axis = mean + sd q.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit

from bagwright.flight._kernel_lanes import FREE, cosine, sine, wide

F = np.float32
LANES = 64
N_TERMS = 56
N_SUMS = 14
N_SLOPES = 13
ROOM = (N_TERMS + N_SUMS + 3) * LANES
"""Numbers of work space: monomials, sums and variables of one block."""

FAST = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False}
LOG2_E = F(1.4426950408889634)


@njit(forceinline=True, **FAST)
def exponential(x: Any) -> Any:
    """E to the x for |x| < 80, to 2e-7: a power of two from bits times a Taylor series of its fraction."""
    y = x * LOG2_E
    k = np.int32(math.floor(y + F(0.5)))
    f = (y - F(k)) * F(0.6931471805599453)
    p = F(1.0) + f * (
        F(1.0) + f * (F(0.5) + f * (F(1 / 6) + f * (F(1 / 24) + f * (F(1 / 120) + f * F(1 / 720)))))
    )
    return p * np.int32((k + np.int32(127)) << np.int32(23)).view(F)


@njit(**FAST)
def polynomials(prior: Any, q: Any, turn: Any, tree: Any, coefs: Any, w: Any) -> None:
    """Sums of all polynomials and their slopes at the launches of one block of lanes, into w.

    prior (13 rows of LANES): mean (5), root of the first three (6), sds (2). turn (3, 4): the three
    polynomial variables are turn[:, :3] x + turn[:, 3]. tree (N_TERMS, 2): monomial t is monomial tree[t,
    0] times variable tree[t, 1]. coefs (N_SUMS, N_TERMS): rows 4 m to 4 m + 3 value and slopes of along,
    curve over sin(axis) and apex, rows 12 and 13 what sin(axis)^2 adds to along and apex.
    """
    wide()
    variables = w[(N_TERMS + N_SUMS) * LANES : (N_TERMS + N_SUMS + 3) * LANES]
    for k in range(3):
        x = variables[k * LANES : (k + 1) * LANES]
        a, b, c, d = turn[k, 0], turn[k, 1], turn[k, 2], turn[k, 3]
        for i in range(LANES):
            x0 = prior[i] + prior[5 * LANES + i] * q[i]
            x1 = prior[1 * LANES + i] + prior[6 * LANES + i] * q[i] + prior[7 * LANES + i] * q[1 * LANES + i]
            x2 = (
                prior[2 * LANES + i]
                + prior[8 * LANES + i] * q[i]
                + prior[9 * LANES + i] * q[1 * LANES + i]
                + prior[10 * LANES + i] * q[2 * LANES + i]
            )
            x[i] = a * x0 + b * x1 + c * x2 + d
    for i in range(LANES):
        w[i] = F(1.0)
    for t in range(1, N_TERMS):
        this = w[t * LANES : (t + 1) * LANES]
        lower = w[tree[t, 0] * LANES : (tree[t, 0] + 1) * LANES]
        x = variables[tree[t, 1] * LANES : (tree[t, 1] + 1) * LANES]
        for i in range(LANES):
            this[i] = lower[i] * x[i]
    for o in range(N_SUMS):
        total = w[(N_TERMS + o) * LANES : (N_TERMS + o + 1) * LANES]
        for i in range(LANES):
            total[i] = F(0.0)
        terms = N_TERMS if o < 12 and o % 4 == 0 else 40
        for k in range(0, terms, 8):
            c0, c1, c2, c3 = coefs[o, k], coefs[o, k + 1], coefs[o, k + 2], coefs[o, k + 3]
            c4, c5, c6, c7 = coefs[o, k + 4], coefs[o, k + 5], coefs[o, k + 6], coefs[o, k + 7]
            m = w[k * LANES : (k + 8) * LANES]
            for i in range(LANES):
                total[i] += (
                    (c0 * m[i] + c1 * m[LANES + i])
                    + (c2 * m[2 * LANES + i] + c3 * m[3 * LANES + i])
                    + (c4 * m[4 * LANES + i] + c5 * m[5 * LANES + i])
                    + (c6 * m[6 * LANES + i] + c7 * m[7 * LANES + i])
                )


@njit(**FAST)
def figures(prior: Any, q: Any, turn: Any, w: Any, h: Any, g: Any) -> None:
    """Carry, apex and side of the polynomials, h (3 rows), and their slopes by q, g (N_SLOPES rows).

    Rows of g: carry by q0, q1, q2, q4; apex by the same; side by q0 to q4 (carry and apex do not see q3).
    """
    wide()
    s = w[N_TERMS * LANES : (N_TERMS + N_SUMS) * LANES]
    t00, t01, t02 = turn[0, 0], turn[0, 1], turn[0, 2]
    t10, t11, t12 = turn[1, 0], turn[1, 1], turn[1, 2]
    t20, t21, t22 = turn[2, 0], turn[2, 1], turn[2, 2]
    for i in range(LANES):
        t = prior[4 * LANES + i] + prior[12 * LANES + i] * q[4 * LANES + i]
        d = prior[3 * LANES + i] + prior[11 * LANES + i] * q[3 * LANES + i]
        st, ct, sd, cd = sine(t), cosine(t), sine(d), cosine(d)
        st2 = st * st
        along = s[i] + st2 * s[12 * LANES + i]
        bend = s[4 * LANES + i]
        curve = st * bend
        carry = math.sqrt(along * along + curve * curve)
        h[i] = carry
        h[1 * LANES + i] = s[8 * LANES + i] + st2 * s[13 * LANES + i]
        h[2 * LANES + i] = along * sd + curve * cd
        ca, cc = along / carry, curve / carry
        ax, ay, az = s[LANES + i], s[2 * LANES + i], s[3 * LANES + i]
        bx, by, bz = st * s[5 * LANES + i], st * s[6 * LANES + i], st * s[7 * LANES + i]
        hx, hy, hz = s[9 * LANES + i], s[10 * LANES + i], s[11 * LANES + i]
        r0, r1, r2 = prior[5 * LANES + i], prior[6 * LANES + i], prior[8 * LANES + i]
        r3, r4, r5 = prior[7 * LANES + i], prior[9 * LANES + i], prior[10 * LANES + i]
        dt = prior[12 * LANES + i]
        twice = F(2.0) * st * ct
        u0 = ax * t00 + ay * t10 + az * t20
        u1 = ax * t01 + ay * t11 + az * t21
        u2 = ax * t02 + ay * t12 + az * t22
        v0 = bx * t00 + by * t10 + bz * t20
        v1 = bx * t01 + by * t11 + bz * t21
        v2 = bx * t02 + by * t12 + bz * t22
        n0 = hx * t00 + hy * t10 + hz * t20
        n1 = hx * t01 + hy * t11 + hz * t21
        n2 = hx * t02 + hy * t12 + hz * t22
        e0, e1, e2 = u0 * r0 + u1 * r1 + u2 * r2, u1 * r3 + u2 * r4, u2 * r5
        f0, f1, f2 = v0 * r0 + v1 * r1 + v2 * r2, v1 * r3 + v2 * r4, v2 * r5
        e4, f4 = dt * twice * s[12 * LANES + i], dt * ct * bend
        g[i], g[1 * LANES + i], g[2 * LANES + i] = ca * e0 + cc * f0, ca * e1 + cc * f1, ca * e2 + cc * f2
        g[3 * LANES + i] = ca * e4 + cc * f4
        g[4 * LANES + i], g[5 * LANES + i], g[6 * LANES + i] = (
            n0 * r0 + n1 * r1 + n2 * r2,
            n1 * r3 + n2 * r4,
            n2 * r5,
        )
        g[7 * LANES + i] = dt * twice * s[13 * LANES + i]
        g[8 * LANES + i], g[9 * LANES + i], g[10 * LANES + i] = (
            sd * e0 + cd * f0,
            sd * e1 + cd * f1,
            sd * e2 + cd * f2,
        )
        g[11 * LANES + i] = prior[11 * LANES + i] * (along * cd - curve * sd)
        g[12 * LANES + i] = sd * e4 + cd * f4


@njit(**FAST)
def step(q: Any, seen: Any, h: Any, g: Any, var: Any, moved: Any) -> None:
    """One Gauss-Newton step of a block: q from the misfit of h to what was seen, with slopes g.

    var (3): variances of the figures (m2). moved (LANES): how far, in metres, the step moves the worst
    figure.
    """
    wide()
    var0, var1, var2 = var[0], var[1], var[2]
    for i in range(LANES):
        a0, a1, a2, a4 = g[i], g[1 * LANES + i], g[2 * LANES + i], g[3 * LANES + i]
        b0, b1, b2, b4 = g[4 * LANES + i], g[5 * LANES + i], g[6 * LANES + i], g[7 * LANES + i]
        c0, c1, c2, c3, c4 = (
            g[8 * LANES + i],
            g[9 * LANES + i],
            g[10 * LANES + i],
            g[11 * LANES + i],
            g[12 * LANES + i],
        )
        q0, q1, q2, q3, q4 = q[i], q[1 * LANES + i], q[2 * LANES + i], q[3 * LANES + i], q[4 * LANES + i]
        ga = a0 * q0 + a1 * q1 + a2 * q2 + a4 * q4
        gb = b0 * q0 + b1 * q1 + b2 * q2 + b4 * q4
        gc = c0 * q0 + c1 * q1 + c2 * q2 + c3 * q3 + c4 * q4
        m00 = a0 * a0 + a1 * a1 + a2 * a2 + a4 * a4 + var0
        m11 = b0 * b0 + b1 * b1 + b2 * b2 + b4 * b4 + var1
        m22 = c0 * c0 + c1 * c1 + c2 * c2 + c3 * c3 + c4 * c4 + var2
        m01 = a0 * b0 + a1 * b1 + a2 * b2 + a4 * b4
        m02 = a0 * c0 + a1 * c1 + a2 * c2 + a4 * c4
        m12 = b0 * c0 + b1 * c1 + b2 * c2 + b4 * c4
        # Cholesky of the 3 by 3: steadier in single precision than cofactors.
        i0 = F(1.0) / math.sqrt(m00)
        l10, l20 = m01 * i0, m02 * i0
        i1 = F(1.0) / math.sqrt(max(m11 - l10 * l10, F(1e-12)))
        l21 = (m12 - l20 * l10) * i1
        i2 = F(1.0) / math.sqrt(max(m22 - l20 * l20 - l21 * l21, F(1e-12)))
        y0 = (seen[i] - h[i] + ga) * i0
        y1 = (seen[1 * LANES + i] - h[1 * LANES + i] + gb - l10 * y0) * i1
        y2 = (seen[2 * LANES + i] - h[2 * LANES + i] + gc - l20 * y0 - l21 * y1) * i2
        k2 = y2 * i2
        k1 = (y1 - l21 * k2) * i1
        k0 = (y0 - l10 * k1 - l20 * k2) * i0
        n0 = a0 * k0 + b0 * k1 + c0 * k2
        n1 = a1 * k0 + b1 * k1 + c1 * k2
        n2 = a2 * k0 + b2 * k1 + c2 * k2
        n3 = c3 * k2
        n4 = a4 * k0 + b4 * k1 + c4 * k2
        oa = abs(a0 * n0 + a1 * n1 + a2 * n2 + a4 * n4 - ga)
        ob = abs(b0 * n0 + b1 * n1 + b2 * n2 + b4 * n4 - gb)
        oc = abs(c0 * n0 + c1 * n1 + c2 * n2 + c3 * n3 + c4 * n4 - gc)
        # A misfit that is not a number must show as one, which max would hide.
        moved[i] = max(oa, max(ob, oc)) + F(0.0) * (oa + ob + oc)
        q[i], q[1 * LANES + i], q[2 * LANES + i], q[3 * LANES + i], q[4 * LANES + i] = n0, n1, n2, n3, n4


@njit(**FAST)
def launches(prior: Any, q: Any, radius: Any, speed: Any, up: Any, way: Any, surface: Any, axis: Any) -> None:
    """Write speed, launch, direction, surface speed and axis of a block into a flight kernel's input."""
    wide()
    for i in range(LANES):
        q0, q1 = q[i], q[LANES + i]
        speed[i] = exponential(prior[i] + prior[5 * LANES + i] * q0)
        up[i] = prior[LANES + i] + prior[6 * LANES + i] * q0 + prior[7 * LANES + i] * q1
        spin = (
            prior[8 * LANES + i] * q0 + prior[9 * LANES + i] * q1 + prior[10 * LANES + i] * q[2 * LANES + i]
        )
        surface[i] = radius * exponential(prior[2 * LANES + i] + spin)
        way[i] = prior[3 * LANES + i] + prior[11 * LANES + i] * q[3 * LANES + i]
        axis[i] = prior[4 * LANES + i] + prior[12 * LANES + i] * q[4 * LANES + i]


@njit(cache=True, **FAST)
def start(
    prior: Any, q: Any, seen: Any, turn: Any, tree: Any, coefs: Any, var: Any, rounds: int, radius: Any, h:
    Any, g: Any, moved: Any, inp: Any, w: Any,
) -> None:  # fmt: skip
    """From the centre of the belief to the polynomials' answer, and the launches to be flown.

    prior, q, seen, h, g (blocks, rows of LANES numbers), moved (blocks, LANES), inp (10, blocks LANES).
    """
    for b in range(q.shape[0]):
        at = b * LANES
        for _ in range(rounds):
            polynomials(prior[b], q[b], turn, tree, coefs, w)
            figures(prior[b], q[b], turn, w, h[b], g[b])
            step(q[b], seen[b], h[b], g[b], var, moved[b])
        to = inp[:, at : at + LANES]
        launches(prior[b], q[b], radius, to[0], to[1], to[2], to[3], to[4])


@njit(cache=True, **FAST)
def correct(
    prior: Any, q: Any, seen: Any, var: Any, radius: Any, out: Any, h: Any, g: Any, moved: Any, inp: Any
) -> None:
    """One step by the misfit of true flights (out as the flight kernel gives it), and the new launches."""
    for b in range(q.shape[0]):
        at = b * LANES
        x, y, apex = out[0, at : at + LANES], out[1, at : at + LANES], out[7, at : at + LANES]
        reached = h[b]
        for i in range(LANES):
            reached[i] = math.sqrt(x[i] * x[i] + y[i] * y[i])
            reached[LANES + i] = apex[i]
            reached[2 * LANES + i] = y[i]
        step(q[b], seen[b], reached, g[b], var, moved[b])
        to = inp[:, at : at + LANES]
        launches(prior[b], q[b], radius, to[0], to[1], to[2], to[3], to[4])
