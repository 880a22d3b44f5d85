# mypy: ignore-errors
"""The fast schedule one a thread, for a graphics card. Written by bench/make_kernels.py: change it there, not here."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import cuda
from numba.cuda import libdevice

F = np.float32
ZERO = F(0.0)
ONE = F(1.0)
HALF = F(0.5)
TWO = F(2.0)
G = F(9.80665)
CD_LOW = F(0.207)
CD_RISE = F(0.34)
CD_BEND = F(0.162)
CL_BEND = F(0.245)
SLOW = F(8.0)
TINY = F(1e-6)
NEXT_TO_NOTHING = F(1e-20)
F3, F4, F5, F6, F7 = F(3.0), F(4.0), F(5.0), F(6.0), F(7.0)
F10, F12, F15, F20 = F(10.0), F(12.0), F(15.0), F(20.0)
CL_TOP = F(0.56)
SIXTH = F(1.0 / 6.0)
C_1_6 = F(0.16666666666666666)
C_2_27 = F(0.07407407407407407)
C_4_27 = F(0.14814814814814814)
C_183_1372 = F(0.13338192419825073)
C_M162_343 = F(-0.47230320699708456)
C_1053_1372 = F(0.7674927113702624)
C_68_297 = F(0.22895622895622897)
C_M4_11 = F(-0.36363636363636365)
C_42_143 = F(0.2937062937062937)
C_1960_3861 = F(0.5076405076405076)
C_597_22528 = F(0.026500355113636364)
C_81_352 = F(0.23011363636363635)
C_63099_585728 = F(0.10772747760052448)
C_58653_366080 = F(0.1602190777972028)
C_4617_20480 = F(0.225439453125)
C_174197_959244 = F(0.18159821692916506)
C_M30942_79937 = F(-0.38707982536247293)
C_8152137_19744439 = F(0.41288268560074054)
C_666106_1039181 = F(0.6409913191253497)
C_M29421_29068 = F(-1.0121439383514517)
C_482048_414219 = F(1.1637515420586695)
C_587_8064 = F(0.07279265873015874)
C_4440339_15491840 = F(0.28662437773692473)
C_24353_124800 = F(0.19513621794871794)
C_387_44800 = F(0.008638392857142857)
C_2152_5985 = F(0.3595655806182122)
C_7267_94080 = F(0.07724277210884353)
C_57_256 = F(0.22265625)
C_M6561_6656 = F(-0.9857271634615384)
C_6517_4160 = F(1.5665865384615385)
C_M4617_2560 = F(-1.803515625)
C_1 = F(1.0)
SINE_0 = F(0.999999995)
SINE_1 = F(-0.166666573)
SINE_2 = F(0.00833303348)
SINE_3 = F(-0.000198077618)
SINE_4 = F(2.60221997e-06)
COSINE_0 = F(0.999999948)
COSINE_1 = F(-0.499998973)
COSINE_2 = F(0.0416633922)
COSINE_3 = F(-0.00138522676)
COSINE_4 = F(2.31210766e-05)


@cuda.jit(device=True, fastmath=True)
def root(x: Any) -> Any:
    """The square root."""
    return math.sqrt(x)


@cuda.jit(device=True, fastmath=True)
def inverse_root(x: Any) -> Any:
    """1 over the square root, by the card's own instruction."""
    return libdevice.rsqrtf(x)


@cuda.jit(device=True, fastmath=True)
def log2(x: Any) -> Any:
    """The logarithm to base 2, by the card's own instruction."""
    return math.log2(x)


@cuda.jit(device=True, fastmath=True)
def launch_fit(a: Any, b: Any, c: Any, d: Any, e: Any) -> Any:
    """Root of the time of flight over that without air."""
    return (
        F(0.867709775)
        + F(-0.184779574) * b
        + F(-0.286404059) * a * e
        + F(-1.47899416) * c * c * c
        + F(-1.36866321) * b * c * c
        + F(3.53420235) * c * c
        + F(4.82862721) * b * b * c
        + F(1.00657557) * b * c * d
        + F(-6.52764071) * b * c
        + F(-2.42676875) * c * c * e
        + F(-2.50960369) * b * b * b
        + F(-0.483026034) * c * c * d
        + F(2.49834619) * b * b
        + F(-0.778239205) * c * e * e
        + F(0.108759471) * a * c * c
        + F(0.394030893) * d * e * e
        + F(-1.85775568) * c * d * d
        + F(1.46815674) * c
        + F(1.17906765) * c * d * e
        + F(0.0340833587) * a * e * e
        + F(-1.27560177) * b * e
        + F(0.498046325) * e
        + F(0.338111608) * a * b * e
        + F(0.683188671) * b * b * e
    )


@cuda.jit(device=True, fastmath=True)
def rest_fit(a: Any, b: Any, c: Any) -> Any:
    """Time still to go over that of a fall with the present acceleration."""
    return (
        F(0.282270606)
        + F(2.58554147) * c
        + F(-0.408470212) * a
        + F(-2.98880659) * c * c
        + F(1.07510926) * a * c
        + F(-0.0281438222) * a * a
        + F(-0.903286669) * b * b * b
        + F(1.12819882) * c * c * c
        + F(-0.522247633) * a * c * c
    )


@cuda.jit(device=True, fastmath=True)
def bend_at_start(far: Any) -> Any:
    """Corrections of the logarithms in the first step; far = A of log2(1 + A t)."""
    far2 = log2(ONE + far)
    r = ONE / (ONE + far)
    part = far / (far + SLOW)
    d0 = far2 + (F(-5.03332463) + F(-31.9197997) * r + F(12.6306202) * r * far2 + F(19.9161375) * r * r + F(26.4598401) * r * r * far2 + F(17.0952848) * r * r * r)
    d2 = part * (F(-0.0754920241) + part * (F(-1.03396327) + part * (F(1.16910878) + part * F(-0.524734243))))
    d3 = part * (F(0.203668398) + part * (F(0.970359198) + part * (F(-1.2387861) + part * F(0.555935912))))
    d4 = part * (F(0.534942321) + part * (F(-0.405713339) + part * (F(0.852607569) + part * F(-0.525155175))))
    d5 = part * (F(-0.0727007401) + part * (F(-0.123480368) + part * (F(0.177491143) + part * F(-0.0801222306))))
    d6 = part * (F(0.0836683143) + part * (F(0.107276984) + part * (F(-0.176255059) + part * F(0.0840451804))))
    return d0, d2, d3, d4, d5, d6


@cuda.jit(device=True, fastmath=True)
def bend_at_end(far: Any) -> Any:
    """The logarithms of the last leg: its beginning, its middle, its end."""
    far2 = log2(ONE + far)
    r = ONE / (ONE + far)
    f0 = far2 + (F(0.442865419) + F(-1.6619705) * r + F(-0.0742689877) * r * far2 + F(0.176145365) * r * r + F(1.33695226) * r * r * far2 + F(1.04685446) * r * r * r)
    fh = far2 + (F(-1.29908016) + F(2.82059257) * r + F(0.057159537) * r * far2 + F(-0.58876555) * r * r + F(-1.33996856) * r * r * far2 + F(-0.935918435) * r * r * r)
    f1 = far2 + (F(-3.9114379) + F(-9.13453755) * r + F(5.78748948) * r * far2 + F(8.67692381) * r * r + F(7.86085561) * r * r * far2 + F(4.38182856) * r * r * r)
    return f0, fh, f1


@cuda.jit(device=True, fastmath=True)
def slope(
    vx: Any, vy: Any, vz: Any, s: Any, share: Any, wx: Any, wy: Any, ax: Any, ay: Any, az: Any,
    base: Any, rise: Any, lift: Any, decay: Any,
) -> Any:  # fmt: skip
    """Rates by time of vx, vy, vz and s, and the speed through the air; one root and one division."""
    ux = vx - wx * share
    uy = vy - wy * share
    q2 = ux * ux + (uy * uy + vz * vz)
    q = q2 * (inverse_root(q2 + NEXT_TO_NOTHING))
    s2 = s * s
    d1 = s2 + CD_BEND * q2
    d2 = s + CL_BEND * q
    d = inverse_root(d1 * d2 + NEXT_TO_NOTHING)
    drag = q * (base + rise * ((s2 * d) * (d2 * d)))
    up = (lift * q) * ((s * d) * (d1 * d))
    gx = up * (ay * vz - az * uy) - drag * ux
    gy = up * (az * ux - ax * vz) - drag * uy
    gz = up * (ax * uy - ay * ux) - (drag * vz + G)
    return gx, gy, gz, -(decay * q) * s, q


@cuda.jit(device=True, fastmath=True)
def inverse(x: Any) -> Any:
    """1/|x|, by way of a root, which a processor estimates sooner than a quotient.

    The number added is too small to be felt; it keeps a compiler from undoing the detour.
    """
    return inverse_root(x * x + NEXT_TO_NOTHING)


@cuda.jit(device=True, fastmath=True)
def sine(x: Any) -> Any:
    """The sine between -90 and 90 degrees, to 1e-7."""
    u = x * x
    return x * (SINE_0 + u * (SINE_1 + u * (SINE_2 + u * (SINE_3 + u * SINE_4))))


@cuda.jit(device=True, fastmath=True)
def cosine(x: Any) -> Any:
    """The cosine between -90 and 90 degrees, to 1e-7."""
    u = x * x
    return COSINE_0 + u * (COSINE_1 + u * (COSINE_2 + u * (COSINE_3 + u * COSINE_4)))


@cuda.jit(device=True, fastmath=True)
def time_of_rest(z: Any, vz: Any, gz: Any, k: Any) -> Any:
    """Time to the ground from somewhere near the crest, within some 2 %: a fall, corrected by a fit.

    The fall has the present acceleration gz; the correction is a polynomial in kz, vz sqrt(k/g) and -gz/g, so
    that it holds in any air.
    """
    fall = -gz
    fall = fall if fall > HALF else HALF
    inside = vz * vz + TWO * fall * z
    inside = inside if inside > TINY else TINY
    return (vz + root(inside)) / fall * rest_fit(k * z, vz * root(k / G), fall / G)


@cuda.jit(device=True, fastmath=True)
def time_of_flight(
    speed: Any, sin_up: Any, cos_up: Any, vx: Any, vy: Any, vz: Any, s: Any, wx: Any, wy: Any, upright: Any,
    base: Any, rise: Any, lift: Any,
) -> Any:  # fmt: skip
    """Time to the ground from the launch, within some 5 %: the time without air, corrected by a fit.

    wx and wy are the wind a few metres up. The fit's variables have no dimension: speed sqrt(k/g), the sine
    of the launch angle, lift and drag over weight at launch, and wind over speed.
    """
    ux = vx - wx
    uy = vy - wy
    q2 = ux * ux + (uy * uy + vz * vz)
    q = root(q2)
    s2 = s * s
    over = lift * upright * cos_up * (s / (s + CL_BEND * q)) * q2 / G
    back = (base + rise * s2 / (s2 + CD_BEND * q2)) * q2 / G
    per_speed = ONE / speed
    fit = launch_fit(
        speed * root(base / (CD_LOW * G)), sin_up, over / (ONE + over), back / (ONE + back), wx * per_speed
    )
    return TWO * speed * sin_up / G * (fit * fit)


@cuda.jit(device=True, fastmath=True)
def share_of_least(q: Any, ratio: Any, low_from: Any, low_per: Any, least: Any, more: Any) -> Any:
    """Speed through the air over the least at which the law was measured, which depends on the spin ratio."""
    between = (ratio - low_from) * low_per
    between = between if between > ZERO else ZERO
    between = between if between < ONE else ONE
    return q * inverse(least + between * more)


@cuda.jit(device=True, fastmath=True)
def nearer(u: Any, b1: Any, b2: Any, c3: Any, c4: Any, c5: Any) -> Any:
    """One step of Newton to the top of a quintic, which bends down there."""
    climb = b1 + u * (TWO * b2 + u * (F3 * c3 + u * (F4 * c4 + u * (F5 * c5))))
    bend = TWO * b2 + u * (F6 * c3 + u * (F12 * c4 + u * (F20 * c5)))
    return u + climb * inverse(bend)


@cuda.jit(device=True, fastmath=True)
def crest(z0: Any, v0: Any, a0: Any, z1: Any, v1: Any, a1: Any, h: Any) -> Any:
    """Greatest height within a step that climbs at its start and falls at its end.

    The quintic through heights, climbs and accelerations at both ends; its top by Newton from the straight
    line through the climbs.
    """
    b1 = h * v0
    b2 = HALF * h * h * a0
    e0 = z1 - z0 - b1 - b2
    e1 = h * v1 - b1 - TWO * b2
    e2 = h * h * a1 - TWO * b2
    c3 = F10 * e0 - F4 * e1 + HALF * e2
    c4 = F7 * e1 - F15 * e0 - e2
    c5 = F6 * e0 - F3 * e1 + HALF * e2
    u = v0 * inverse(v0 - v1)
    u = nearer(u, b1, b2, c3, c4, c5)
    u = nearer(u, b1, b2, c3, c4, c5)
    u = nearer(u, b1, b2, c3, c4, c5)
    return z0 + u * (b1 + u * (b2 + u * (c3 + u * (c4 + u * c5))))


@cuda.jit(fastmath=True)
def fly_log(inp: Any, out: Any, share: Any, again: Any, setting: Any) -> None:
    """Fly one flight a thread: inp (10, n) to out (14, n)."""
    at = cuda.grid(1)
    if at >= inp.shape[1]:
        return
    steps = share.size
    first = share[0]
    per_rough = setting[0]
    decay = setting[1]
    mean = setting[2]
    low_from = setting[3]
    low_per = setting[4]
    least = setting[5]
    least_more = setting[6]
    speed = inp[0, at]
    up = inp[1, at]
    side = inp[2, at]
    s = inp[3, at]
    tilt = inp[4, at]
    wx = inp[5, at]
    wy = inp[6, at]
    kd = inp[7, at]
    kl = inp[8, at]
    given = inp[9, at]
    # launch
    su = sine(up)
    cu = cosine(up)
    sd = sine(side)
    cd = cosine(side)
    az = sine(tilt)
    ct = cosine(tilt)
    ax = ct * sd
    ay = -ct * cd
    vx = speed * cu * cd
    vy = speed * cu * sd
    vz = speed * su
    base = CD_LOW * kd
    rise = CD_RISE * kd
    lift = CL_TOP * kl
    rest = time_of_flight(speed, su, cu, vx, vy, vz, s, wx * mean, wy * mean, ct, base, rise, lift)
    rest = given if given > TINY else rest
    h = first * rest
    x = ZERO
    y = ZERO
    z = ZERO
    t = ZERO
    doubt = ZERO
    q_high = speed
    s_low = s / speed
    s_high = s_low
    margin = share_of_least(speed, s_low, low_from, low_per, least, least_more)
    pz = ZERO
    pv = ZERO
    pa = ZERO
    ph = ZERO
    cz0 = ZERO
    cv0 = ONE
    ca0 = ZERO
    cz1 = ZERO
    cv1 = -ONE
    ca1 = ZERO
    ch = ZERO
    far = h * vz * per_rough
    d0, d2, d3, d4, d5, d6 = bend_at_start(far)
    for n in range(steps):
        part = share[n]
        # stage 0
        f = log2(ONE + z * per_rough) + d0
        gx0, gy0, gz0, gs0, q = slope(vx, vy, vz, s, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        if n > 0:
            # extremes
            ratio = s * inverse(q)
            s_low = ratio if ratio < s_low else s_low
            s_high = ratio if ratio > s_high else s_high
            q_high = q if q > q_high else q_high
            m = share_of_least(q, ratio, low_from, low_per, least, least_more)
            margin = m if m < margin else margin
            # the step with the crest
            over = pv > ZERO and vz <= ZERO
            cz0 = pz if over else cz0
            cv0 = pv if over else cv0
            ca0 = pa if over else ca0
            cz1 = z if over else cz1
            cv1 = vz if over else cv1
            ca1 = gz0 if over else ca1
            ch = ph if over else ch
            if again[n] > 0:
                # time still to go
                rest = time_of_rest(z, vz, gz0, base / CD_LOW)
        # length of the step
        h = part * rest
        # stage 1
        vx1 = vx + h * (C_1_6 * gx0)
        vy1 = vy + h * (C_1_6 * gy0)
        vz1 = vz + h * (C_1_6 * gz0)
        s1 = s + h * (C_1_6 * gs0)
        z1 = z + h * (C_1_6 * vz)
        f = log2(ONE + z1 * per_rough)
        gx1, gy1, gz1, gs1, q = slope(vx1, vy1, vz1, s1, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # stage 2
        vx2 = vx + h * (C_2_27 * gx0 + C_4_27 * gx1)
        vy2 = vy + h * (C_2_27 * gy0 + C_4_27 * gy1)
        vz2 = vz + h * (C_2_27 * gz0 + C_4_27 * gz1)
        s2 = s + h * (C_2_27 * gs0 + C_4_27 * gs1)
        z2 = z + h * (C_2_27 * vz + C_4_27 * vz1)
        f = log2(ONE + z2 * per_rough) + d2
        gx2, gy2, gz2, gs2, q = slope(vx2, vy2, vz2, s2, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # stage 3
        vx3 = vx + h * (C_183_1372 * gx0 + C_M162_343 * gx1 + C_1053_1372 * gx2)
        vy3 = vy + h * (C_183_1372 * gy0 + C_M162_343 * gy1 + C_1053_1372 * gy2)
        vz3 = vz + h * (C_183_1372 * gz0 + C_M162_343 * gz1 + C_1053_1372 * gz2)
        s3 = s + h * (C_183_1372 * gs0 + C_M162_343 * gs1 + C_1053_1372 * gs2)
        z3 = z + h * (C_183_1372 * vz + C_M162_343 * vz1 + C_1053_1372 * vz2)
        f = log2(ONE + z3 * per_rough) + d3
        gx3, gy3, gz3, gs3, q = slope(vx3, vy3, vz3, s3, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        if n > 0:
            # extremes
            ratio = s3 * inverse(q)
            s_low = ratio if ratio < s_low else s_low
            s_high = ratio if ratio > s_high else s_high
            q_high = q if q > q_high else q_high
            m = share_of_least(q, ratio, low_from, low_per, least, least_more)
            margin = m if m < margin else margin
        # stage 4
        vx4 = vx + h * (C_68_297 * gx0 + C_M4_11 * gx1 + C_42_143 * gx2 + C_1960_3861 * gx3)
        vy4 = vy + h * (C_68_297 * gy0 + C_M4_11 * gy1 + C_42_143 * gy2 + C_1960_3861 * gy3)
        vz4 = vz + h * (C_68_297 * gz0 + C_M4_11 * gz1 + C_42_143 * gz2 + C_1960_3861 * gz3)
        s4 = s + h * (C_68_297 * gs0 + C_M4_11 * gs1 + C_42_143 * gs2 + C_1960_3861 * gs3)
        z4 = z + h * (C_68_297 * vz + C_M4_11 * vz1 + C_42_143 * vz2 + C_1960_3861 * vz3)
        f = log2(ONE + z4 * per_rough) + d4
        gx4, gy4, gz4, gs4, q = slope(vx4, vy4, vz4, s4, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # stage 5
        vx5 = vx + h * (C_597_22528 * gx0 + C_81_352 * gx1 + C_63099_585728 * gx2 + C_58653_366080 * gx3 + C_4617_20480 * gx4)
        vy5 = vy + h * (C_597_22528 * gy0 + C_81_352 * gy1 + C_63099_585728 * gy2 + C_58653_366080 * gy3 + C_4617_20480 * gy4)
        vz5 = vz + h * (C_597_22528 * gz0 + C_81_352 * gz1 + C_63099_585728 * gz2 + C_58653_366080 * gz3 + C_4617_20480 * gz4)
        s5 = s + h * (C_597_22528 * gs0 + C_81_352 * gs1 + C_63099_585728 * gs2 + C_58653_366080 * gs3 + C_4617_20480 * gs4)
        z5 = z + h * (C_597_22528 * vz + C_81_352 * vz1 + C_63099_585728 * vz2 + C_58653_366080 * vz3 + C_4617_20480 * vz4)
        f = log2(ONE + z5 * per_rough) + d5
        gx5, gy5, gz5, gs5, q = slope(vx5, vy5, vz5, s5, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # stage 6
        vx6 = vx + h * (C_174197_959244 * gx0 + C_M30942_79937 * gx1 + C_8152137_19744439 * gx2 + C_666106_1039181 * gx3 + C_M29421_29068 * gx4 + C_482048_414219 * gx5)
        vy6 = vy + h * (C_174197_959244 * gy0 + C_M30942_79937 * gy1 + C_8152137_19744439 * gy2 + C_666106_1039181 * gy3 + C_M29421_29068 * gy4 + C_482048_414219 * gy5)
        vz6 = vz + h * (C_174197_959244 * gz0 + C_M30942_79937 * gz1 + C_8152137_19744439 * gz2 + C_666106_1039181 * gz3 + C_M29421_29068 * gz4 + C_482048_414219 * gz5)
        s6 = s + h * (C_174197_959244 * gs0 + C_M30942_79937 * gs1 + C_8152137_19744439 * gs2 + C_666106_1039181 * gs3 + C_M29421_29068 * gs4 + C_482048_414219 * gs5)
        z6 = z + h * (C_174197_959244 * vz + C_M30942_79937 * vz1 + C_8152137_19744439 * vz2 + C_666106_1039181 * vz3 + C_M29421_29068 * vz4 + C_482048_414219 * vz5)
        f = log2(ONE + z6 * per_rough) + d6
        gx6, gy6, gz6, gs6, q = slope(vx6, vy6, vz6, s6, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # end of the step
        pz = z
        pv = vz
        pa = gz0
        ph = h
        t = t + h
        egx = C_57_256 * gx0 + C_M6561_6656 * gx2 + C_6517_4160 * gx3 + C_M4617_2560 * gx4 + C_1 * gx5
        egy = C_57_256 * gy0 + C_M6561_6656 * gy2 + C_6517_4160 * gy3 + C_M4617_2560 * gy4 + C_1 * gy5
        egz = C_57_256 * gz0 + C_M6561_6656 * gz2 + C_6517_4160 * gz3 + C_M4617_2560 * gz4 + C_1 * gz5
        doubt = doubt + h * rest * (abs(egx) + abs(egy) + abs(egz))
        x = x + h * (C_587_8064 * vx + C_4440339_15491840 * vx2 + C_24353_124800 * vx3 + C_387_44800 * vx4 + C_2152_5985 * vx5 + C_7267_94080 * vx6)
        y = y + h * (C_587_8064 * vy + C_4440339_15491840 * vy2 + C_24353_124800 * vy3 + C_387_44800 * vy4 + C_2152_5985 * vy5 + C_7267_94080 * vy6)
        z = z + h * (C_587_8064 * vz + C_4440339_15491840 * vz2 + C_24353_124800 * vz3 + C_387_44800 * vz4 + C_2152_5985 * vz5 + C_7267_94080 * vz6)
        vx = vx + h * (C_587_8064 * gx0 + C_4440339_15491840 * gx2 + C_24353_124800 * gx3 + C_387_44800 * gx4 + C_2152_5985 * gx5 + C_7267_94080 * gx6)
        vy = vy + h * (C_587_8064 * gy0 + C_4440339_15491840 * gy2 + C_24353_124800 * gy3 + C_387_44800 * gy4 + C_2152_5985 * gy5 + C_7267_94080 * gy6)
        vz = vz + h * (C_587_8064 * gz0 + C_4440339_15491840 * gz2 + C_24353_124800 * gz3 + C_387_44800 * gz4 + C_2152_5985 * gz5 + C_7267_94080 * gz6)
        s = s + h * (C_587_8064 * gs0 + C_4440339_15491840 * gs2 + C_24353_124800 * gs3 + C_387_44800 * gs4 + C_2152_5985 * gs5 + C_7267_94080 * gs6)
        if n == 0:
            # only launch and landing bend
            d0 = ZERO
            d2 = ZERO
            d3 = ZERO
            d4 = ZERO
            d5 = ZERO
            d6 = ZERO
    # the last node
    f = log2(ONE + z * per_rough)
    gx0, gy0, gz0, gs0, q = slope(vx, vy, vz, s, f, wx, wy, ax, ay, az, base, rise, lift, decay)
    # extremes
    ratio = s * inverse(q)
    s_low = ratio if ratio < s_low else s_low
    s_high = ratio if ratio > s_high else s_high
    q_high = q if q > q_high else q_high
    m = share_of_least(q, ratio, low_from, low_per, least, least_more)
    margin = m if m < margin else margin
    # the step with the crest
    over = pv > ZERO and vz <= ZERO
    cz0 = pz if over else cz0
    cv0 = pv if over else cv0
    ca0 = pa if over else ca0
    cz1 = z if over else cz1
    cv1 = vz if over else cv1
    ca1 = gz0 if over else ca1
    ch = ph if over else ch
    # wind of the last leg
    far = z * per_rough
    f0, fh, f1 = bend_at_end(far)
    # last leg 0
    gx, gy, gz, gs, q = slope(vx, vy, vz, s, f0, wx, wy, ax, ay, az, base, rise, lift, decay)
    rt0 = -inverse(vz)
    rgx0 = gx * rt0
    rgy0 = gy * rt0
    rgz0 = gz * rt0
    rgs0 = gs * rt0
    rx0 = vx * rt0
    ry0 = vy * rt0
    # last leg 1
    d = -HALF * z
    vx1 = vx + d * rgx0
    vy1 = vy + d * rgy0
    vz1 = vz + d * rgz0
    s1 = s + d * rgs0
    gx, gy, gz, gs, q = slope(vx1, vy1, vz1, s1, fh, wx, wy, ax, ay, az, base, rise, lift, decay)
    rt1 = -inverse(vz1)
    rgx1 = gx * rt1
    rgy1 = gy * rt1
    rgz1 = gz * rt1
    rgs1 = gs * rt1
    rx1 = vx1 * rt1
    ry1 = vy1 * rt1
    # last leg 2
    d = -HALF * z
    vx2 = vx + d * rgx1
    vy2 = vy + d * rgy1
    vz2 = vz + d * rgz1
    s2 = s + d * rgs1
    gx, gy, gz, gs, q = slope(vx2, vy2, vz2, s2, fh, wx, wy, ax, ay, az, base, rise, lift, decay)
    rt2 = -inverse(vz2)
    rgx2 = gx * rt2
    rgy2 = gy * rt2
    rgz2 = gz * rt2
    rgs2 = gs * rt2
    rx2 = vx2 * rt2
    ry2 = vy2 * rt2
    # last leg 3
    d = -z
    vx3 = vx + d * rgx2
    vy3 = vy + d * rgy2
    vz3 = vz + d * rgz2
    s3 = s + d * rgs2
    gx, gy, gz, gs, q = slope(vx3, vy3, vz3, s3, f1, wx, wy, ax, ay, az, base, rise, lift, decay)
    rt3 = -inverse(vz3)
    rgx3 = gx * rt3
    rgy3 = gy * rt3
    rgz3 = gz * rt3
    rgs3 = gs * rt3
    rx3 = vx3 * rt3
    ry3 = vy3 * rt3
    # landing
    d = -SIXTH * z
    before = t
    vx = vx + d * ((rgx0 + rgx3) + TWO * (rgx1 + rgx2))
    vy = vy + d * ((rgy0 + rgy3) + TWO * (rgy1 + rgy2))
    vz = vz + d * ((rgz0 + rgz3) + TWO * (rgz1 + rgz2))
    s = s + d * ((rgs0 + rgs3) + TWO * (rgs1 + rgs2))
    x = x + d * ((rx0 + rx3) + TWO * (rx1 + rx2))
    y = y + d * ((ry0 + ry3) + TWO * (ry1 + ry2))
    t = t + d * ((rt0 + rt3) + TWO * (rt1 + rt2))
    leg = t - before
    q = root(vx * vx + (vy * vy + vz * vz))
    # extremes
    ratio = s * inverse(q)
    s_low = ratio if ratio < s_low else s_low
    s_high = ratio if ratio > s_high else s_high
    q_high = q if q > q_high else q_high
    m = share_of_least(q, ratio, low_from, low_per, least, least_more)
    margin = m if m < margin else margin
    # crest
    top = crest(cz0, cv0, ca0, cz1, cv1, ca1, ch)
    out[0, at] = x
    out[1, at] = y
    out[2, at] = t
    out[3, at] = vx
    out[4, at] = vy
    out[5, at] = vz
    out[6, at] = s
    out[7, at] = top
    out[8, at] = doubt
    out[9, at] = leg
    out[10, at] = s_low
    out[11, at] = s_high
    out[12, at] = q_high
    out[13, at] = margin


@cuda.jit(fastmath=True)
def fly_even(inp: Any, out: Any, share: Any, again: Any, setting: Any) -> None:
    """Fly one flight a thread: inp (10, n) to out (14, n)."""
    at = cuda.grid(1)
    if at >= inp.shape[1]:
        return
    steps = share.size
    first = share[0]
    per_rough = setting[0]
    decay = setting[1]
    mean = setting[2]
    low_from = setting[3]
    low_per = setting[4]
    least = setting[5]
    least_more = setting[6]
    speed = inp[0, at]
    up = inp[1, at]
    side = inp[2, at]
    s = inp[3, at]
    tilt = inp[4, at]
    wx = inp[5, at]
    wy = inp[6, at]
    kd = inp[7, at]
    kl = inp[8, at]
    given = inp[9, at]
    # launch
    su = sine(up)
    cu = cosine(up)
    sd = sine(side)
    cd = cosine(side)
    az = sine(tilt)
    ct = cosine(tilt)
    ax = ct * sd
    ay = -ct * cd
    vx = speed * cu * cd
    vy = speed * cu * sd
    vz = speed * su
    base = CD_LOW * kd
    rise = CD_RISE * kd
    lift = CL_TOP * kl
    rest = time_of_flight(speed, su, cu, vx, vy, vz, s, wx * mean, wy * mean, ct, base, rise, lift)
    rest = given if given > TINY else rest
    h = first * rest
    x = ZERO
    y = ZERO
    z = ZERO
    t = ZERO
    doubt = ZERO
    q_high = speed
    s_low = s / speed
    s_high = s_low
    margin = share_of_least(speed, s_low, low_from, low_per, least, least_more)
    pz = ZERO
    pv = ZERO
    pa = ZERO
    ph = ZERO
    cz0 = ZERO
    cv0 = ONE
    ca0 = ZERO
    cz1 = ZERO
    cv1 = -ONE
    ca1 = ZERO
    ch = ZERO
    for n in range(steps):
        part = share[n]
        # stage 0
        f = ONE
        gx0, gy0, gz0, gs0, q = slope(vx, vy, vz, s, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        if n > 0:
            # extremes
            ratio = s * inverse(q)
            s_low = ratio if ratio < s_low else s_low
            s_high = ratio if ratio > s_high else s_high
            q_high = q if q > q_high else q_high
            m = share_of_least(q, ratio, low_from, low_per, least, least_more)
            margin = m if m < margin else margin
            # the step with the crest
            over = pv > ZERO and vz <= ZERO
            cz0 = pz if over else cz0
            cv0 = pv if over else cv0
            ca0 = pa if over else ca0
            cz1 = z if over else cz1
            cv1 = vz if over else cv1
            ca1 = gz0 if over else ca1
            ch = ph if over else ch
            if again[n] > 0:
                # time still to go
                rest = time_of_rest(z, vz, gz0, base / CD_LOW)
        # length of the step
        h = part * rest
        # stage 1
        vx1 = vx + h * (C_1_6 * gx0)
        vy1 = vy + h * (C_1_6 * gy0)
        vz1 = vz + h * (C_1_6 * gz0)
        s1 = s + h * (C_1_6 * gs0)
        f = ONE
        gx1, gy1, gz1, gs1, q = slope(vx1, vy1, vz1, s1, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # stage 2
        vx2 = vx + h * (C_2_27 * gx0 + C_4_27 * gx1)
        vy2 = vy + h * (C_2_27 * gy0 + C_4_27 * gy1)
        vz2 = vz + h * (C_2_27 * gz0 + C_4_27 * gz1)
        s2 = s + h * (C_2_27 * gs0 + C_4_27 * gs1)
        f = ONE
        gx2, gy2, gz2, gs2, q = slope(vx2, vy2, vz2, s2, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # stage 3
        vx3 = vx + h * (C_183_1372 * gx0 + C_M162_343 * gx1 + C_1053_1372 * gx2)
        vy3 = vy + h * (C_183_1372 * gy0 + C_M162_343 * gy1 + C_1053_1372 * gy2)
        vz3 = vz + h * (C_183_1372 * gz0 + C_M162_343 * gz1 + C_1053_1372 * gz2)
        s3 = s + h * (C_183_1372 * gs0 + C_M162_343 * gs1 + C_1053_1372 * gs2)
        f = ONE
        gx3, gy3, gz3, gs3, q = slope(vx3, vy3, vz3, s3, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        if n > 0:
            # extremes
            ratio = s3 * inverse(q)
            s_low = ratio if ratio < s_low else s_low
            s_high = ratio if ratio > s_high else s_high
            q_high = q if q > q_high else q_high
            m = share_of_least(q, ratio, low_from, low_per, least, least_more)
            margin = m if m < margin else margin
        # stage 4
        vx4 = vx + h * (C_68_297 * gx0 + C_M4_11 * gx1 + C_42_143 * gx2 + C_1960_3861 * gx3)
        vy4 = vy + h * (C_68_297 * gy0 + C_M4_11 * gy1 + C_42_143 * gy2 + C_1960_3861 * gy3)
        vz4 = vz + h * (C_68_297 * gz0 + C_M4_11 * gz1 + C_42_143 * gz2 + C_1960_3861 * gz3)
        s4 = s + h * (C_68_297 * gs0 + C_M4_11 * gs1 + C_42_143 * gs2 + C_1960_3861 * gs3)
        f = ONE
        gx4, gy4, gz4, gs4, q = slope(vx4, vy4, vz4, s4, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # stage 5
        vx5 = vx + h * (C_597_22528 * gx0 + C_81_352 * gx1 + C_63099_585728 * gx2 + C_58653_366080 * gx3 + C_4617_20480 * gx4)
        vy5 = vy + h * (C_597_22528 * gy0 + C_81_352 * gy1 + C_63099_585728 * gy2 + C_58653_366080 * gy3 + C_4617_20480 * gy4)
        vz5 = vz + h * (C_597_22528 * gz0 + C_81_352 * gz1 + C_63099_585728 * gz2 + C_58653_366080 * gz3 + C_4617_20480 * gz4)
        s5 = s + h * (C_597_22528 * gs0 + C_81_352 * gs1 + C_63099_585728 * gs2 + C_58653_366080 * gs3 + C_4617_20480 * gs4)
        f = ONE
        gx5, gy5, gz5, gs5, q = slope(vx5, vy5, vz5, s5, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # stage 6
        vx6 = vx + h * (C_174197_959244 * gx0 + C_M30942_79937 * gx1 + C_8152137_19744439 * gx2 + C_666106_1039181 * gx3 + C_M29421_29068 * gx4 + C_482048_414219 * gx5)
        vy6 = vy + h * (C_174197_959244 * gy0 + C_M30942_79937 * gy1 + C_8152137_19744439 * gy2 + C_666106_1039181 * gy3 + C_M29421_29068 * gy4 + C_482048_414219 * gy5)
        vz6 = vz + h * (C_174197_959244 * gz0 + C_M30942_79937 * gz1 + C_8152137_19744439 * gz2 + C_666106_1039181 * gz3 + C_M29421_29068 * gz4 + C_482048_414219 * gz5)
        s6 = s + h * (C_174197_959244 * gs0 + C_M30942_79937 * gs1 + C_8152137_19744439 * gs2 + C_666106_1039181 * gs3 + C_M29421_29068 * gs4 + C_482048_414219 * gs5)
        f = ONE
        gx6, gy6, gz6, gs6, q = slope(vx6, vy6, vz6, s6, f, wx, wy, ax, ay, az, base, rise, lift, decay)
        # end of the step
        pz = z
        pv = vz
        pa = gz0
        ph = h
        t = t + h
        egx = C_57_256 * gx0 + C_M6561_6656 * gx2 + C_6517_4160 * gx3 + C_M4617_2560 * gx4 + C_1 * gx5
        egy = C_57_256 * gy0 + C_M6561_6656 * gy2 + C_6517_4160 * gy3 + C_M4617_2560 * gy4 + C_1 * gy5
        egz = C_57_256 * gz0 + C_M6561_6656 * gz2 + C_6517_4160 * gz3 + C_M4617_2560 * gz4 + C_1 * gz5
        doubt = doubt + h * rest * (abs(egx) + abs(egy) + abs(egz))
        x = x + h * (C_587_8064 * vx + C_4440339_15491840 * vx2 + C_24353_124800 * vx3 + C_387_44800 * vx4 + C_2152_5985 * vx5 + C_7267_94080 * vx6)
        y = y + h * (C_587_8064 * vy + C_4440339_15491840 * vy2 + C_24353_124800 * vy3 + C_387_44800 * vy4 + C_2152_5985 * vy5 + C_7267_94080 * vy6)
        z = z + h * (C_587_8064 * vz + C_4440339_15491840 * vz2 + C_24353_124800 * vz3 + C_387_44800 * vz4 + C_2152_5985 * vz5 + C_7267_94080 * vz6)
        vx = vx + h * (C_587_8064 * gx0 + C_4440339_15491840 * gx2 + C_24353_124800 * gx3 + C_387_44800 * gx4 + C_2152_5985 * gx5 + C_7267_94080 * gx6)
        vy = vy + h * (C_587_8064 * gy0 + C_4440339_15491840 * gy2 + C_24353_124800 * gy3 + C_387_44800 * gy4 + C_2152_5985 * gy5 + C_7267_94080 * gy6)
        vz = vz + h * (C_587_8064 * gz0 + C_4440339_15491840 * gz2 + C_24353_124800 * gz3 + C_387_44800 * gz4 + C_2152_5985 * gz5 + C_7267_94080 * gz6)
        s = s + h * (C_587_8064 * gs0 + C_4440339_15491840 * gs2 + C_24353_124800 * gs3 + C_387_44800 * gs4 + C_2152_5985 * gs5 + C_7267_94080 * gs6)
    # the last node
    f = ONE
    gx0, gy0, gz0, gs0, q = slope(vx, vy, vz, s, f, wx, wy, ax, ay, az, base, rise, lift, decay)
    # extremes
    ratio = s * inverse(q)
    s_low = ratio if ratio < s_low else s_low
    s_high = ratio if ratio > s_high else s_high
    q_high = q if q > q_high else q_high
    m = share_of_least(q, ratio, low_from, low_per, least, least_more)
    margin = m if m < margin else margin
    # the step with the crest
    over = pv > ZERO and vz <= ZERO
    cz0 = pz if over else cz0
    cv0 = pv if over else cv0
    ca0 = pa if over else ca0
    cz1 = z if over else cz1
    cv1 = vz if over else cv1
    ca1 = gz0 if over else ca1
    ch = ph if over else ch
    # last leg 0
    gx, gy, gz, gs, q = slope(vx, vy, vz, s, ONE, wx, wy, ax, ay, az, base, rise, lift, decay)
    rt0 = -inverse(vz)
    rgx0 = gx * rt0
    rgy0 = gy * rt0
    rgz0 = gz * rt0
    rgs0 = gs * rt0
    rx0 = vx * rt0
    ry0 = vy * rt0
    # last leg 1
    d = -HALF * z
    vx1 = vx + d * rgx0
    vy1 = vy + d * rgy0
    vz1 = vz + d * rgz0
    s1 = s + d * rgs0
    gx, gy, gz, gs, q = slope(vx1, vy1, vz1, s1, ONE, wx, wy, ax, ay, az, base, rise, lift, decay)
    rt1 = -inverse(vz1)
    rgx1 = gx * rt1
    rgy1 = gy * rt1
    rgz1 = gz * rt1
    rgs1 = gs * rt1
    rx1 = vx1 * rt1
    ry1 = vy1 * rt1
    # last leg 2
    d = -HALF * z
    vx2 = vx + d * rgx1
    vy2 = vy + d * rgy1
    vz2 = vz + d * rgz1
    s2 = s + d * rgs1
    gx, gy, gz, gs, q = slope(vx2, vy2, vz2, s2, ONE, wx, wy, ax, ay, az, base, rise, lift, decay)
    rt2 = -inverse(vz2)
    rgx2 = gx * rt2
    rgy2 = gy * rt2
    rgz2 = gz * rt2
    rgs2 = gs * rt2
    rx2 = vx2 * rt2
    ry2 = vy2 * rt2
    # last leg 3
    d = -z
    vx3 = vx + d * rgx2
    vy3 = vy + d * rgy2
    vz3 = vz + d * rgz2
    s3 = s + d * rgs2
    gx, gy, gz, gs, q = slope(vx3, vy3, vz3, s3, ONE, wx, wy, ax, ay, az, base, rise, lift, decay)
    rt3 = -inverse(vz3)
    rgx3 = gx * rt3
    rgy3 = gy * rt3
    rgz3 = gz * rt3
    rgs3 = gs * rt3
    rx3 = vx3 * rt3
    ry3 = vy3 * rt3
    # landing
    d = -SIXTH * z
    before = t
    vx = vx + d * ((rgx0 + rgx3) + TWO * (rgx1 + rgx2))
    vy = vy + d * ((rgy0 + rgy3) + TWO * (rgy1 + rgy2))
    vz = vz + d * ((rgz0 + rgz3) + TWO * (rgz1 + rgz2))
    s = s + d * ((rgs0 + rgs3) + TWO * (rgs1 + rgs2))
    x = x + d * ((rx0 + rx3) + TWO * (rx1 + rx2))
    y = y + d * ((ry0 + ry3) + TWO * (ry1 + ry2))
    t = t + d * ((rt0 + rt3) + TWO * (rt1 + rt2))
    leg = t - before
    q = root(vx * vx + (vy * vy + vz * vz))
    # extremes
    ratio = s * inverse(q)
    s_low = ratio if ratio < s_low else s_low
    s_high = ratio if ratio > s_high else s_high
    q_high = q if q > q_high else q_high
    m = share_of_least(q, ratio, low_from, low_per, least, least_more)
    margin = m if m < margin else margin
    # crest
    top = crest(cz0, cv0, ca0, cz1, cv1, ca1, ch)
    out[0, at] = x
    out[1, at] = y
    out[2, at] = t
    out[3, at] = vx
    out[4, at] = vy
    out[5, at] = vz
    out[6, at] = s
    out[7, at] = top
    out[8, at] = doubt
    out[9, at] = leg
    out[10, at] = s_low
    out[11, at] = s_high
    out[12, at] = q_high
    out[13, at] = margin
