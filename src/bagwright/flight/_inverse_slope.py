"""Forces on the ball and how they change with the launch: variational equations beside the flight itself.

One source for both ways of running: on plain Python floats and lists (one shot, no compiler) and compiled
by numba on arrays (many shots). Only arithmetic; no imports but math.

State of a flight, seven numbers: x, y, z (m), vx, vy, vz (m/s) and the logarithm of spin over launch spin.
Behind them stand seven blocks of seven: the derivatives of the state by each launch value, in the order of
`PARAMETERS`. Position 7 j + i holds state i of block j; block 0 is the flight itself.

Equations: point mass with F = rho A C |u|^2 / 2, u the air's view of the ball, spin axis fixed in space, spin
decay d omega / dt = -decay |u| omega / r (Smits & Smith 1994, form; the law brings its own constant), wind by
the log law. Derivatives by the chain rule, term by term, so they are exact for the equations as integrated.
"""

from __future__ import annotations

import math
from typing import Any

Floats = Any
"""A list of floats or a one-dimensional array of them: the source runs on both."""

Rows = Any
"""A list of such lists or a two-dimensional array."""

Law = Any
"""A function (S, Re) -> CD, CL, dCD/dS, dCD/dRe, dCL/dS, dCL/dRe."""

Constants = tuple[float, ...]
Two = tuple[float, float]
Four = tuple[float, float, float, float]
Five = tuple[float, float, float, float, float]
Seven = tuple[float, ...]

PARAMETERS = ("ln ball speed", "launch", "ln spin", "direction", "spin axis", "ln drag", "ln lift")
"""What the derivatives are taken by: angles in radians; the two factors scale CD and CL of the law."""

N_STATE = 7
N_PAR = 7
N_ALL = N_STATE * (1 + N_PAR)

# Positions in the tuple of constants of one flight.
K, G, R, DECAY, DECAY_PER_S, RE_PER_MPS, WX, WY, ROUGH, LOG_SCALE = range(10)
SPIN0, DRAG, LIFT, AX, AY, AZ, DAX, DAY, TAX, TAY, TAZ = range(10, 21)


def constants(ball: Five, air: Two, wind: Four, theta: Floats) -> Constants:
    """Constants of one flight as a tuple of 21 floats.

    ball: (mass kg, radius m, gravity m/s2, spin decay along the path, spin decay per second); air: (density
    kg/m3, viscosity Pa s); wind: (x m/s, y m/s, roughness m or 0 for uniform, reference height m); theta:
    the seven `PARAMETERS`. The spin axis is a = (cos t sin d, -cos t cos d, sin t) for tilt t and direction
    d; after it stand its derivatives by d and by t.
    """
    mass, radius, gravity, decay, decay_per_s = ball
    density, viscosity = air
    wx, wy, rough, height = wind
    log_scale = 0.0
    if rough > 0.0:
        log_scale = 1.0 / math.log(1.0 + height / rough)
    sd = math.sin(theta[3])
    cd = math.cos(theta[3])
    st = math.sin(theta[4])
    ct = math.cos(theta[4])
    return (
        0.5 * density * math.pi * radius * radius / mass,
        gravity,
        radius,
        decay,
        decay_per_s,
        2.0 * radius * density / viscosity,
        wx,
        wy,
        rough,
        log_scale,
        math.exp(theta[2]),
        math.exp(theta[5]),
        math.exp(theta[6]),
        ct * sd,
        -ct * cd,
        st,
        ct * cd,
        ct * sd,
        -st * sd,
        st * cd,
        ct,
    )


def begin(theta: Floats, y: Floats) -> None:
    """Write the state at the strike into y: ball at the origin, derivatives of the velocity by the launch."""
    for i in range(N_ALL):
        y[i] = 0.0
    v = math.exp(theta[0])
    se = math.sin(theta[1])
    ce = math.cos(theta[1])
    sd = math.sin(theta[3])
    cd = math.cos(theta[3])
    y[3] = v * ce * cd
    y[4] = v * ce * sd
    y[5] = v * se
    y[10] = y[3]
    y[11] = y[4]
    y[12] = y[5]
    y[17] = -v * se * cd
    y[18] = -v * se * sd
    y[19] = v * ce
    y[31] = -y[4]
    y[32] = y[3]


def wind_share(z: float, rough: float, log_scale: float) -> tuple[float, float]:
    """Share of the reference wind at height z (m) and its slope (1/m): log law, or 1 where roughness is 0."""
    if rough <= 0.0:
        return 1.0, 0.0
    if z <= 0.0:
        return 0.0, log_scale / rough
    return math.log(1.0 + z / rough) * log_scale, log_scale / (rough + z)


def slope(y: Floats, out: Floats, c: Constants, law: Law, blocks: int) -> None:
    """Write the time derivative of y into out; `blocks` is 1 for the flight alone, 8 with all derivatives.

    `law(S, Re)` gives CD, CL, dCD/dS, dCD/dRe, dCL/dS, dCL/dRe.
    """
    k = c[K]
    f, fz = wind_share(y[2], c[ROUGH], c[LOG_SCALE])
    ux = y[3] - c[WX] * f
    uy = y[4] - c[WY] * f
    uz = y[5]
    q = math.sqrt(ux * ux + uy * uy + uz * uz) + 1e-12
    s = c[R] * c[SPIN0] * math.exp(y[6]) / q
    re = c[RE_PER_MPS] * q
    cd, cl, cd_s, cd_re, cl_s, cl_re = law(s, re)
    d = k * q * cd * c[DRAG]
    m = k * q * cl * c[LIFT]
    ax, ay, az = c[AX], c[AY], c[AZ]
    lx = ay * uz - az * uy
    ly = az * ux - ax * uz
    lz = ax * uy - ay * ux
    decay = c[DECAY] / c[R]
    out[0], out[1], out[2] = y[3], y[4], y[5]
    out[3] = m * lx - d * ux
    out[4] = m * ly - d * uy
    out[5] = m * lz - d * uz - c[G]
    out[6] = -decay * q - c[DECAY_PER_S]
    d_q = k * c[DRAG] * (cd + re * cd_re - s * cd_s)
    d_w = k * q * c[DRAG] * s * cd_s
    m_q = k * c[LIFT] * (cl + re * cl_re - s * cl_s)
    m_w = k * q * c[LIFT] * s * cl_s
    for j in range(1, blocks):
        o = 7 * j
        dux = y[o + 3] - c[WX] * fz * y[o + 2]
        duy = y[o + 4] - c[WY] * fz * y[o + 2]
        duz = y[o + 5]
        dq = (ux * dux + uy * duy + uz * duz) / q
        dw = y[o + 6]
        if j == 3:
            dw += 1.0
        dd = d_q * dq + d_w * dw
        dm = m_q * dq + m_w * dw
        if j == 6:
            dd += d
        elif j == 7:
            dm += m
        ex = ay * duz - az * duy
        ey = az * dux - ax * duz
        ez = ax * duy - ay * dux
        if j == 4:
            ex += c[DAY] * uz
            ey -= c[DAX] * uz
            ez += c[DAX] * uy - c[DAY] * ux
        elif j == 5:
            ex += c[TAY] * uz - c[TAZ] * uy
            ey += c[TAZ] * ux - c[TAX] * uz
            ez += c[TAX] * uy - c[TAY] * ux
        out[o] = y[o + 3]
        out[o + 1] = y[o + 4]
        out[o + 2] = y[o + 5]
        out[o + 3] = dm * lx + m * ex - dd * ux - d * dux
        out[o + 4] = dm * ly + m * ey - dd * uy - d * duy
        out[o + 5] = dm * lz + m * ez - dd * uz - d * duz
        out[o + 6] = -decay * dq
