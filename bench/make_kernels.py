"""Write the flight kernels: the same schedule side by side in lanes (processor) and one a thread (card).

    .venv/bin/python -m bench.make_kernels            write them
    .venv/bin/python -m bench.make_kernels --check    exit 1 if the files differ from what would be written

One flight is five steps of Bogacki and Shampine's fifth-order method (1996, Comput. Math. Appl. 32:15-28) in
time and a last leg of the classical fourth-order method in height, so that it ends on the ground without a
search: 5 x 7 + 4 = 39 slopes. The logarithm of the wind profile has its singular point a roughness length
below the ground; at launch and landing its values at the stages are replaced by such that the method
integrates ln(1 + A t) exactly against polynomials (product integration; `kernel_numbers.py`).

Each stage becomes a loop of its own over a block of flights. The iterations of such a loop do not wait for
one another, which a loop over whole flights would make them do: the stages of one flight form one long chain.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path

from bagwright.flight import _straight
from bench import kernel_numbers as numbers

FOLDER = Path(_straight.__file__).parent
LANES = 64
MARK = "# --- copied from here on"

A = (
    (),
    ("1/6",),
    ("2/27", "4/27"),
    ("183/1372", "-162/343", "1053/1372"),
    ("68/297", "-4/11", "42/143", "1960/3861"),
    ("597/22528", "81/352", "63099/585728", "58653/366080", "4617/20480"),
    ("174197/959244", "-30942/79937", "8152137/19744439", "666106/1039181", "-29421/29068", "482048/414219"),
)
B = ("587/8064", "0", "4440339/15491840", "24353/124800", "387/44800", "2152/5985", "7267/94080")
E = ("57/256", "0", "-6561/6656", "6517/4160", "-4617/2560", "1", "0")
"""Weights that vanish on all trees up to order 4: the difference to an embedded fourth-order solution."""
STAGES = len(B)
MIDDLE = 3
"""The stage nearest the middle of a step: there too the extremes of spin ratio and speed are noted."""
BENT = (0, 2, 3, 4, 5, 6)
"""Stages whose logarithm is corrected in the first step; that of stage 1 needs none."""

INPUTS = ("speed", "up", "side", "s", "tilt", "wx", "wy", "kd", "kl", "given")
OUTPUTS = (
    "x", "y", "t", "vx", "vy", "vz", "s", "top", "doubt", "leg", "s_low", "s_high", "q_high", "margin",
)  # fmt: skip
SETTING = ("per_rough", "decay", "mean", "low_from", "low_per", "least", "least_more")
FORCES = "ax, ay, az, base, rise, lift, decay"
"""What the slope needs beside the state and the wind."""


class Text:
    """The lines of a kernel in the making, in one of two forms: in lanes, or one flight a thread."""

    def __init__(self, lanes: bool, log: bool) -> None:
        self.lanes, self.log = lanes, log
        self.lines: list[str] = []
        self.rows: dict[str, int] = {}
        self.indent = 1

    def add(self, line: str) -> None:
        """Add a line at the present depth."""
        self.lines.append("    " * self.indent + line)

    def row(self, name: str) -> str:
        """Say where a flight's value of this name lies in the work space."""
        place = self.rows.setdefault(name, len(self.rows)) * LANES
        return f"w[{place} + l]"

    def phase(self, comment: str, reads: str, body: Iterable[str], writes: str) -> None:
        """Add one loop over the lanes: values in by name, statements, values out by name."""
        self.add(f"# {comment}")
        if not self.lanes:
            for line in body:
                self.add(line)
            return
        self.add(f"for l in range({LANES}):")
        self.indent += 1
        for name in reads.split():
            self.add(f"{name} = {self.row(name)}")
        for line in body:
            self.add(line)
        for name in writes.split():
            self.add(f"{self.row(name)} = {name}")
        self.indent -= 1

    def copies(self, pairs: Iterable[tuple[str, str]]) -> None:
        """Add loops that only copy, one value each: with more arrays a loop would not be vectorised."""
        for target, source in pairs:
            line = f"{target} = {source}"
            if self.lanes:
                self.add(f"for l in range({LANES}):")
                self.add("    " + line.replace("{at}", "at + l"))
            else:
                self.add(line.replace("{at}", "at"))


def constant(value: str) -> str:
    """Name the constant of a fraction."""
    return "C_" + value.replace("/", "_").replace("-", "M")


def number(value: str) -> float:
    """Give a fraction as a float."""
    return float(Fraction(value))


def weighted(name: str, weights: Sequence[str], upto: int) -> str:
    """Write the weighted sum of the slopes of one state."""
    terms = [f"{constant(a)} * {name}{j}" for j, a in enumerate(weights[:upto]) if a != "0"]
    return " + ".join(terms)


def slopes_read(weights: Sequence[str], names: Iterable[str]) -> str:
    """Name the slopes that a weighted sum needs."""
    return " ".join(f"{k}{j}" for k in names for j, a in enumerate(weights) if a != "0")


def share_of(text: Text, height: str, stage: int | None) -> str:
    """Write the wind's share at a height, with a stage's correction where it has one."""
    if not text.log:
        return "ONE"
    bend = f" + d{stage}" if stage in BENT else ""
    return f"log2(ONE + {height} * per_rough){bend}"


def load(text: Text) -> None:
    """Flights into the work space: velocities, axis, forces, a first time of flight, corrections."""
    text.copies(
        (f"{text.row(name)}" if text.lanes else name, f"inp[{i}, {{at}}]") for i, name in enumerate(INPUTS)
    )
    body = [
        "su = sine(up)", "cu = cosine(up)", "sd = sine(side)", "cd = cosine(side)",
        "az = sine(tilt)", "ct = cosine(tilt)", "ax = ct * sd", "ay = -ct * cd",
        "vx = speed * cu * cd", "vy = speed * cu * sd", "vz = speed * su",
        "base = CD_LOW * kd", "rise = CD_RISE * kd", "lift = CL_TOP * kl",
        "rest = time_of_flight(speed, su, cu, vx, vy, vz, s, wx * mean, wy * mean, ct, base, rise, lift)",
        "rest = given if given > TINY else rest",
        "h = first * rest",
        "x = ZERO", "y = ZERO", "z = ZERO", "t = ZERO", "doubt = ZERO",
        "q_high = speed", "s_low = s / speed", "s_high = s_low",
        "margin = share_of_least(speed, s_low, low_from, low_per, least, least_more)",
        "pz = ZERO", "pv = ZERO", "pa = ZERO", "ph = ZERO",
        "cz0 = ZERO", "cv0 = ONE", "ca0 = ZERO", "cz1 = ZERO", "cv1 = -ONE", "ca1 = ZERO", "ch = ZERO",
    ]  # fmt: skip
    writes = (
        "vx vy vz x y z t ax ay az base rise lift rest h doubt q_high s_low s_high margin "
        "pz pv pa ph cz0 cv0 ca0 cz1 cv1 ca1 ch"
    )
    if text.log:
        body += ["far = h * vz * per_rough", "d0, d2, d3, d4, d5, d6 = bend_at_start(far)"]
        writes += " d0 d2 d3 d4 d5 d6"
    text.phase("launch", " ".join(INPUTS), body, writes)


def stage(text: Text, i: int) -> None:
    """One slope of a step."""
    reads, body = "vx vy vz s wx wy ax ay az base rise lift", []
    if text.log:
        reads += " z"
    at = {name: name for name in ("vx", "vy", "vz", "s", "z")}
    if i:
        reads += " h"
        names = ["gx", "gy", "gz", "gs"]
        for state, k in zip(("vx", "vy", "vz", "s"), names, strict=True):
            body.append(f"{state}{i} = {state} + h * ({weighted(k, A[i], i)})")
            at[state] = f"{state}{i}"
        if text.log:
            body.append(f"z{i} = z + h * ({weighted('vz', A[i], i).replace(' * vz0', ' * vz')})")
            at["z"] = f"z{i}"
            names.append("vz")
        reads += " " + " ".join(n for n in slopes_read(A[i], names).split() if n != "vz0")
    if text.log and i in BENT:
        reads += f" d{i}"
    body.append(f"f = {share_of(text, at['z'], i)}")
    state = ", ".join(at[name] for name in ("vx", "vy", "vz", "s"))
    body.append(f"gx{i}, gy{i}, gz{i}, gs{i}, q = slope({state}, f, wx, wy, {FORCES})")
    writes = f"gx{i} gy{i} gz{i} gs{i}" + (f" vx{i} vy{i} vz{i} s{i}" if i else " q")
    if i == MIDDLE:
        writes += " q"
    elif i:
        writes = writes.replace(f" s{i}", "")
    text.phase(f"stage {i}", reads, body, writes)


def extremes(text: Text, spin: str = "s") -> None:
    """Note how far the flight has gone from what the law was fitted to."""
    body = [
        f"ratio = {spin} * inverse(q)",
        "s_low = ratio if ratio < s_low else s_low",
        "s_high = ratio if ratio > s_high else s_high",
        "q_high = q if q > q_high else q_high",
        "m = share_of_least(q, ratio, low_from, low_per, least, least_more)",
        "margin = m if m < margin else margin",
    ]
    names = "s_low s_high q_high margin"
    text.phase("extremes", f"{spin} q {names}", body, names)


def node(text: Text) -> None:
    """What is noted between two steps: extremes of spin ratio and speed, and the step with the crest."""
    extremes(text)
    body = [
        "over = pv > ZERO and vz <= ZERO",
        "cz0 = pz if over else cz0", "cv0 = pv if over else cv0", "ca0 = pa if over else ca0",
        "cz1 = z if over else cz1", "cv1 = vz if over else cv1", "ca1 = gz0 if over else ca1",
        "ch = ph if over else ch",
    ]  # fmt: skip
    names = "cz0 cv0 ca0 cz1 cv1 ca1 ch"
    text.phase("the step with the crest", f"pv vz z gz0 pz pa ph {names}", body, names)


def advance(text: Text) -> None:
    """The state at the end of a step, and what the embedded lower order says of its error."""
    body = ["pz = z", "pv = vz", "pa = gz0", "ph = h", "t = t + h"]
    for k in ("gx", "gy", "gz"):
        body.append(f"e{k} = {weighted(k, E, STAGES)}")
    body.append("doubt = doubt + h * rest * (abs(egx) + abs(egy) + abs(egz))")
    sums = {state: weighted(f"v{state}", B, STAGES).replace(f"v{state}0", f"v{state}") for state in "xyz"}
    body += [f"{state} = {state} + h * ({sums[state]})" for state in "xyz"]
    for state, k in (("vx", "gx"), ("vy", "gy"), ("vz", "gz"), ("s", "gs")):
        body.append(f"{state} = {state} + h * ({weighted(k, B, STAGES)})")
    slopes = {*slopes_read(B, ("gx", "gy", "gz", "gs", "vx", "vy", "vz")).split()} | {
        *slopes_read(E, ("gx", "gy", "gz")).split()
    }
    reads = "vx vy vz s x y z t h rest doubt " + " ".join(sorted(slopes - {"vx0", "vy0", "vz0"}))
    text.phase("end of the step", reads, body, "vx vy vz s x y z t doubt pz pv pa ph")


def steps(text: Text) -> None:
    """The loop over the steps; the time still to go is estimated anew before steps that say so."""
    text.add("for n in range(steps):")
    text.indent += 1
    text.add("part = share[n]")
    stage(text, 0)
    text.add("if n > 0:")
    text.indent += 1
    node(text)
    text.add("if again[n] > 0:")
    text.indent += 1
    body = ["rest = time_of_rest(z, vz, gz0, base / CD_LOW)"]
    text.phase("time still to go", "z vz gz0 base", body, "rest")
    text.indent -= 2
    text.phase("length of the step", "rest", ["h = part * rest"], "h")
    for i in range(1, STAGES):
        stage(text, i)
        if i == MIDDLE:
            text.add("if n > 0:")
            text.indent += 1
            extremes(text, f"s{i}")
            text.indent -= 1
    advance(text)
    if text.log:
        text.add("if n == 0:")
        text.indent += 1
        text.phase(
            "only launch and landing bend",
            "",
            [f"d{i} = ZERO" for i in BENT],
            " ".join(f"d{i}" for i in BENT),
        )
        text.indent -= 1
    text.indent -= 1


def last_leg(text: Text) -> None:
    """From the last node to the ground, with the height as the variable."""
    reads = "vx vy vz s wx wy ax ay az base rise lift"
    log = text.log
    body = [
        f"f = {share_of(text, 'z', None)}",
        f"gx0, gy0, gz0, gs0, q = slope(vx, vy, vz, s, f, wx, wy, {FORCES})",
    ]
    text.phase("the last node", reads + " z", body, "gx0 gy0 gz0 gs0 q")
    node(text)
    if log:
        text.phase(
            "wind of the last leg", "z", ["far = z * per_rough", "f0, fh, f1 = bend_at_end(far)"], "f0 fh f1"
        )
    for i, (step, share) in enumerate(((None, "f0"), ("HALF", "fh"), ("HALF", "fh"), ("ONE", "f1"))):
        share = share if log else "ONE"
        lines, needs = [], reads + (f" {share}" if log else "")
        at = ["vx", "vy", "vz", "s"]
        if step:
            needs += " z " + " ".join(f"r{k}{i - 1}" for k in ("gx", "gy", "gz", "gs"))
            lines.append("d = -z" if step == "ONE" else "d = -HALF * z")
            for state, k in zip(at, ("gx", "gy", "gz", "gs"), strict=True):
                lines.append(f"{state}{i} = {state} + d * r{k}{i - 1}")
            at = [f"{state}{i}" for state in at]
        lines.append(f"gx, gy, gz, gs, q = slope({', '.join(at)}, {share}, wx, wy, {FORCES})")
        lines.append(f"rt{i} = -inverse({at[2]})")
        lines += [f"r{k}{i} = {k} * rt{i}" for k in ("gx", "gy", "gz", "gs")]
        lines += [f"rx{i} = {at[0]} * rt{i}", f"ry{i} = {at[1]} * rt{i}"]
        writes = " ".join(f"r{k}{i}" for k in ("gx", "gy", "gz", "gs", "x", "y", "t"))
        text.phase(f"last leg {i}", needs, lines, writes)
    names = {"vx": "gx", "vy": "gy", "vz": "gz", "s": "gs", "x": "x", "y": "y", "t": "t"}
    body = ["d = -SIXTH * z", "before = t"]
    body += [f"{n} = {n} + d * ((r{k}0 + r{k}3) + TWO * (r{k}1 + r{k}2))" for n, k in names.items()]
    body += ["leg = t - before", "q = root(vx * vx + (vy * vy + vz * vz))"]
    reads = " ".join(f"r{k}{i}" for k in names.values() for i in range(4)) + " vx vy vz s x y z t"
    text.phase("landing", reads, body, "x y t vx vy vz s leg q")
    extremes(text)
    span = "cz0 cv0 ca0 cz1 cv1 ca1 ch"
    text.phase("crest", span, [f"top = crest({span.replace(' ', ', ')})"], "top")
    text.copies(
        (f"out[{i}, {{at}}]", text.row(name) if text.lanes else name) for i, name in enumerate(OUTPUTS)
    )


# --- the files around the phases ---------------------------------------------------------------------------


def polynomial(terms: Iterable[tuple[tuple[int, ...], float]], names: str) -> str:
    """Write a sum of products of variables."""
    parts = [" * ".join([f"F({c!r})", *(names[i] for i in which)]) for which, c in terms]
    return "(\n        " + "\n        + ".join(parts) + "\n    )"


def horner(coefficients: Sequence[float], x: str) -> str:
    """Write a polynomial in one variable, nested."""
    *rest, top = [f"F({c!r})" for c in coefficients]
    for c in reversed(rest):
        top = f"{c} + {x} * ({top})" if "(" in top[2:] and "+" in top else f"{c} + {x} * {top}"
    return top


def fitted() -> list[str]:
    """Write the functions that are fits."""
    bends = []
    for i, coefficients in zip(BENT[1:], numbers.START_OTHERS, strict=True):
        bends.append(f"    d{i} = part * ({horner(coefficients, 'part')})")
    basis = ("", "r", "r * far2", "r * r", "r * r * far2", "r * r * r")

    def in_basis(coefficients: Sequence[float]) -> str:
        parts = [f"F({c!r}) * {b}" if b else f"F({c!r})" for c, b in zip(coefficients, basis, strict=True)]
        return "far2 + (" + " + ".join(parts) + ")"

    return [
        "def launch_fit(a: Any, b: Any, c: Any, d: Any, e: Any) -> Any:",
        '    """Root of the time of flight over that without air."""',
        f"    return {polynomial(numbers.LAUNCH_TERMS, 'abcde')}",
        "",
        "",
        "def rest_fit(a: Any, b: Any, c: Any) -> Any:",
        '    """Time still to go over that of a fall with the present acceleration."""',
        f"    return {polynomial(numbers.REST_TERMS, 'abc')}",
        "",
        "",
        "def bend_at_start(far: Any) -> Any:",
        '    """Corrections of the logarithms in the first step; far = A of log2(1 + A t)."""',
        "    far2 = log2(ONE + far)",
        "    r = ONE / (ONE + far)",
        "    part = far / (far + SLOW)",
        f"    d0 = {in_basis(numbers.START_FIRST)}",
        *bends,
        "    return d0, " + ", ".join(f"d{i}" for i in BENT[1:]),
        "",
        "",
        "def bend_at_end(far: Any) -> Any:",
        '    """The logarithms of the last leg: its beginning, its middle, its end."""',
        "    far2 = log2(ONE + far)",
        "    r = ONE / (ONE + far)",
        f"    f0 = {in_basis(numbers.END[0])}",
        f"    fh = {in_basis(numbers.END[1])}",
        f"    f1 = {in_basis(numbers.END[2])}",
        "    return f0, fh, f1",
    ]


LOG2_LANES = f'''
def log2(x: Any) -> Any:
    """The logarithm to base 2 of a positive number, to 3e-6, from the bits of the number."""
    i = F(x).view(np.int32)
    m = np.int32((i & FRACTION) | EXPONENT).view(F)
    return F(i) * STEP - BIAS + ({horner(numbers.LOG2, "m")})
'''
LOG2_CARD = '''
def log2(x: Any) -> Any:
    """The logarithm to base 2, by the card's own instruction."""
    return math.log2(x)
'''
WIDE = '''
def kept(function: Any) -> Any:
    """Compile on the first call and keep it on disk; where no folder can be written, in memory only."""
    options = {"nogil": True, "fastmath": FREE, "error_model": "numpy", "boundscheck": False}
    try:
        return njit(cache=True, **options)(function)
    except RuntimeError:
        return njit(**options)(function)


@intrinsic
def wide(typing: Any) -> Any:
    """Let the caller use the widest vectors there are; compilers hold back on some processors."""
    del typing

    def lower(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        del signature, arguments
        set.add(builder.function.attributes, '"prefer-vector-width"="512"')
        return context.get_dummy_value()

    return types.void(), lower
'''
ROOT = '''
def root(x: Any) -> Any:
    """The square root."""
    return math.sqrt(x)
'''
INVERSE_ROOT_LANES = '''
def inverse_root(x: Any) -> Any:
    """1 over the square root, which processors estimate and refine."""
    return ONE / math.sqrt(x)
'''
INVERSE_ROOT_CARD = '''
def inverse_root(x: Any) -> Any:
    """1 over the square root, by the card's own instruction."""
    return libdevice.rsqrtf(x)
'''


def shared() -> list[str]:
    """Give the functions of `_straight.py` from its mark on, each as its lines."""
    source = inspect.getsource(_straight)
    return source[source.index(MARK) :].split("\n", 1)[1].strip("\n").split("\n")


def constants() -> list[str]:
    """Give the constants that kernels and shared functions use."""
    source = inspect.getsource(_straight)
    head = source[source.index("ZERO = F(0.0)") : source.index("def root")].strip("\n").split("\n")
    lines = ["F = np.float32", *head, "CL_TOP = F(0.56)", "SIXTH = F(1.0 / 6.0)"]
    fractions = dict.fromkeys(a for row in (*A, B, E) for a in row if a != "0")
    lines += [f"{constant(a)} = F({number(a)!r})" for a in fractions]
    lines += [f"SINE_{i} = F({c!r})" for i, c in enumerate(numbers.SINE)]
    lines += [f"COSINE_{i} = F({c!r})" for i, c in enumerate(numbers.COSINE)]
    return lines


def decorated(lines: list[str], decorator: str) -> list[str]:
    """Put the decorator above every function."""
    return [part for line in lines for part in ([decorator, line] if line.startswith("def ") else [line])]


def kernel(lanes: bool, log: bool) -> list[str]:
    """Write one kernel."""
    text = Text(lanes, log)
    name = "log" if log else "even"
    if lanes:
        opening = [
            "@kept",
            f"def fly_{name}(inp: Any, out: Any, share: Any, again: Any, setting: Any, w: Any) -> None:",
            f'    """Fly blocks of {LANES} flights: inp ({len(INPUTS)}, n) to out ({len(OUTPUTS)}, n)."""',
        ]
        text.add("wide()")
        text.add("steps = share.size")
    else:
        opening = [
            "@cuda.jit(fastmath=True)",
            f"def fly_{name}(inp: Any, out: Any, share: Any, again: Any, setting: Any) -> None:",
            f'    """Fly one flight a thread: inp ({len(INPUTS)}, n) to out ({len(OUTPUTS)}, n)."""',
            "    at = cuda.grid(1)",
            "    if at >= inp.shape[1]:",
            "        return",
        ]
        text.add("steps = share.size")
    text.add("first = share[0]")
    for i, each in enumerate(SETTING):
        text.add(f"{each} = setting[{i}]")
    if lanes:
        text.add(f"for block in range(inp.shape[1] // {LANES}):")
        text.indent += 1
        text.add(f"at = block * {LANES}")
    load(text)
    steps(text)
    last_leg(text)
    if lanes:
        ROWS[name] = len(text.rows)
    return [*opening, *text.lines]


ROWS: dict[str, int] = {}


def file(lanes: bool) -> str:
    """Write one file."""
    where = "in lanes, for the processor" if lanes else "one a thread, for a graphics card"
    decorator = (
        '@njit(nogil=True, fastmath=FREE, error_model="numpy", boundscheck=False, forceinline=True)'
        if lanes
        else "@cuda.jit(device=True, fastmath=True)"
    )
    log2 = (LOG2_LANES if lanes else LOG2_CARD).strip("\n").split("\n")
    over = (INVERSE_ROOT_LANES if lanes else INVERSE_ROOT_CARD).strip("\n").split("\n")
    root = ROOT.strip("\n").split("\n")
    functions = [*root, "", "", *over, "", "", *log2, "", "", *fitted(), "", "", *shared()]
    kernels = [*kernel(lanes, True), "", "", *kernel(lanes, False)]
    head = [
        "# mypy: ignore-errors",
        f'"""The fast schedule {where}. Written by bench/make_kernels.py: change it there, not here."""',
        "",
        "from __future__ import annotations",
        "",
        "import math",
        "from typing import Any",
        "",
        "import numpy as np",
        "from numba import njit, types" if lanes else "from numba import cuda",
        "from numba.extending import intrinsic" if lanes else "from numba.cuda import libdevice",
        "",
    ]
    if lanes:
        head += [
            'FREE = {"contract", "reassoc", "arcp", "afn", "nsz"}',
            "FRACTION, EXPONENT = np.int32(0x7FFFFF), np.int32(0x3F800000)",
            f"LANES = {LANES}",
            f"ROOM = {max(ROWS.values()) * LANES}",
        ]
    lines = [*head, *constants()]
    if lanes:
        lines += ["STEP = F(2.0**-23)", "BIAS = F(127.0)"]
        lines += ["", "", *WIDE.strip("\n").split("\n")]
    lines += ["", "", *decorated(functions, decorator), "", "", *kernels, ""]
    return "\n".join(lines)


def fits() -> str:
    """Write the fitted functions as plain Python, for `_straight.py`."""
    lines = [
        '"""Fitted functions of the fast schedule. Written by bench/make_kernels.py, to be changed there."""',
        "",
        "from __future__ import annotations",
        "",
        "from typing import Any",
        "",
        "import numpy as np",
        "",
        "F = np.float32",
        "ONE, SLOW = F(1.0), F(8.0)",
        *(f"SINE_{i} = F({c!r})" for i, c in enumerate(numbers.SINE)),
        *(f"COSINE_{i} = F({c!r})" for i, c in enumerate(numbers.COSINE)),
        "",
        "",
        "def log2(x: Any) -> Any:",
        '    """The logarithm to base 2; each kind of machine has its own."""',
        "    return np.log2(x)",
        "",
        "",
        *fitted(),
        "",
    ]
    return "\n".join(lines)


def files() -> dict[str, str]:
    """Give the text of every written file by its name."""
    return {"_straight_fits.py": fits(), "_kernel_lanes.py": file(True), "_kernel_cuda.py": file(False)}


def main() -> int:
    """Write or check the files."""
    different = 0
    for name, text in files().items():
        path = FOLDER / name
        if "--check" in sys.argv:
            different += path.read_text(encoding="utf-8") != text
        else:
            path.write_text(text, encoding="utf-8")
    return int(different > 0)


if __name__ == "__main__":
    sys.exit(main())
