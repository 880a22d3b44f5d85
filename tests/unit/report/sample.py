"""An invented player's report, typed by hand, in any size that a test wants. Nobody real is meant."""

from __future__ import annotations

import itertools
import math

from bagwright.estimate import Estimate
from bagwright.report.model import (
    AirCard,
    AirColumn,
    AirRow,
    Answer,
    BagRow,
    Ball,
    BuildClub,
    BuildField,
    CandidateRow,
    CarryRow,
    Counts,
    DriftLine,
    FlightRow,
    Landing,
    NextTest,
    PlayerLine,
    Region,
    ReportInput,
    SideLine,
    StepLine,
    VisitLine,
)

YD = 0.9144
HOSTILE = (
    "Zoë #Müller *x* $1$ _u_ {b} <b>bold</b> \x00\x1b[31m \u202egnp.exe سعيد שלום 😀 日本 \\n " + "é" * 5000
)

NAMES = ("Gap wedge", "50 cavity", "51 blade", "52 bent to 50", "Spare 50, long shaft", "50 hollow")
_BAG = (
    ("Driver", "driver", 11.0, 214, 9),
    ("3 wood", "wood", 15.5, 199, 7),
    ("5 wood", "wood", 18.5, 187, 6),
    ("4 hybrid", "hybrid", 22.0, 175, 6),
    ("5 iron", "iron", 25.0, 166, 6),
    ("6 iron", "iron", 28.5, 157, 5),
    ("7 iron", "iron", 32.0, 146, 5),
    ("8 iron", "iron", 36.5, 134, 4),
    ("9 iron", "iron", 41.0, 121, 4),
    ("Pitching wedge", "wedge", 45.0, 108, 3),
    ("Gap wedge", "wedge", 47.5, 100, 3),
    ("54 wedge", "wedge", 54.5, 79, 3),
    ("58 wedge", "wedge", 58.0, 69, 3),
)


def yd(value: float, half: float) -> Estimate:
    """An estimate given in yards, in metres."""
    return Estimate(value * YD, (value - half) * YD, (value + half) * YD)


def candidates(n: int, names: tuple[str, ...] = NAMES) -> tuple[CandidateRow, ...]:
    """The first n candidates; the third has no side, height or descent, the last no mishit share."""
    rows = []
    for i in range(n):
        full = i != 2
        rows.append(
            CandidateRow(
                name=names[i],
                build=f"{50 + i % 3}° measured, 35.5 in, lie angle 64°, 105 g",
                present=i == 0,
                n_shots=9 + i,
                mishit_share=None if i == 5 else Estimate(0.08 + 0.02 * i, 0.02, 0.21 + 0.02 * i),
                speed_ratio=Estimate(1.12 - 0.01 * i, 1.10 - 0.01 * i, 1.14 - 0.01 * i) if full else None,
                ratings="look 4 of 5, feel 3 of 5" if i == 1 else "",
                carry_m=yd(99.6 - 3.1 * i, 2.6),
                gripped_down_m=yd(93 - 3 * i, 4) if i < 2 else None,
                flat_out_m=yd(104 - 3 * i, 4.4) if full else None,
                total_m=yd(101.2 - 3 * i, 2.7) if full else None,
                apex_m=Estimate(21.4 + i, 20.1 + i, 22.8 + i) if full else None,
                descent_rad=Estimate(0.85, 0.82, 0.88) if full else None,
                offline_m=yd(-1.4 + i, 2.1) if full else None,
                right_probability=0.16 + 0.15 * i if full else None,
                carry_sd_m=yd(4.1, 1.2),
                offline_sd_m=yd(3.6 + 0.4 * i, 1.1) if full else None,
                beyond_share=Estimate(0.3, 0.2, 0.42) if full else None,
                beyond_m=5 * YD,
                miss_m=yd(9.8 - 1.2 * (i % 3), 1.6),
                price=149.0 if i else None,
                lead_time_days=12 if i else None,
            )
        )
    return tuple(rows)


def answer(kind: str = "choice", names: tuple[str, ...] = NAMES) -> Answer:
    """An answer of each kind about the same slot."""
    return Answer(
        slot="Gap wedge",
        kind=kind,  # type: ignore[arg-type]
        choice={"choice": names[1], "keep": names[0], "close": names[1], "open": None}[kind],
        present=names[0],
        runner_up=names[1] if kind == "keep" else names[0] if kind == "close" else names[2],
        probability=0.83 if kind in ("choice", "keep") else 0.57,
        gain_m=None if kind == "keep" else yd(1.9, 2.4),
        gain_probability=0.91,
        spot_m=92 * YD,
        within_m=2 * YD if kind == "close" else None,
        within_probability=0.78 if kind == "close" else None,
        blocked=False,
        still_open=("No shots from grass or sand yet.",),
        next_tests=(
            NextTest(
                "Six more balls with each of the two.",
                clubs=(names[1], names[2]),
                balls=12,
                chance_of_change=0.12,
            ),
        ),
    )


def sides(names: tuple[str, ...] = NAMES) -> tuple[SideLine, ...]:
    """The four sides, one of them open and one not compared."""
    return (
        SideLine("strike", leader=None, probability=0.55, said="Both are struck about as well."),
        SideLine(
            "flight", leader=names[1], probability=0.94, said="Closer to the carry that the slot needs."
        ),
        SideLine("dispersion", still_open="Not enough balls to compare; your whole-bag pattern was used."),
        SideLine(
            "place in the bag", leader=names[1], probability=0.83, said="Evens the steps on both sides."
        ),
    )


def carries(n: int) -> tuple[CarryRow, ...]:
    """The first n clubs, some with more than the stock swing, one never hit."""
    rows = []
    for i, (name, kind, loft, carry, half) in enumerate(_BAG[:n]):
        hit = name != "5 wood"
        rows.append(
            CarryRow(
                name,
                "stock",
                kind,
                loft,
                measured=hit,
                n_shots=5 if hit else 0,
                carry_m=yd(carry, half),
                total_m=yd(carry * 1.03, half) if hit else None,
                offline_m=yd(2.0 - i, 4.0) if hit else None,
                right_probability=0.84 - 0.06 * i if hit else None,
                mishit_share=Estimate(0.12, 0.05, 0.22) if hit else None,
                apex_m=Estimate(22.0, 20.5, 23.5) if hit else None,
                descent_rad=Estimate(0.75, 0.72, 0.79) if hit else None,
            )
        )
        if kind in ("iron", "wedge"):
            rows.append(CarryRow(name, "gripped-down", kind, loft, n_shots=3, carry_m=yd(carry * 0.94, half)))
        if kind in ("driver", "wedge", "iron") and i % 2 == 0:
            rows.append(CarryRow(name, "flat-out", kind, loft, n_shots=3, carry_m=yd(carry * 1.05, half + 1)))
        if kind == "wedge":
            rows.append(
                CarryRow(name, "three-quarter", kind, loft, n_shots=4, carry_m=yd(carry * 0.84, half))
            )
            rows.append(CarryRow(name, "half", kind, loft, measured=False, carry_m=yd(carry * 0.6, half + 2)))
    return tuple(rows)


def path(carry: float, apex: float) -> tuple[tuple[float, float], ...]:
    """A skewed arc through the strike, the apex and the landing, metres; its shape is only for drawing."""
    points = [(i / 30, 6.75 * (i / 30) ** 2 * (1 - i / 30)) for i in range(31)]
    return tuple((carry * x, apex * z) for x, z in points)


def flight(
    club: str, kind: str, carry: float, *, apex: float = 21.0, guessed: tuple[str, ...] = ()
) -> FlightRow:
    """One club's flight, its carry in yards."""
    return FlightRow(
        club,
        "stock",
        kind,
        n_shots=5,
        ball_speed_mps=Estimate(36.0, 35.2, 36.8),
        launch_rad=Estimate(0.49, 0.47, 0.51),
        spin_rpm=Estimate(8500, 8200, 8800),
        guessed=guessed,
        path=path(carry * YD, apex),
        carry_m=yd(carry, 2 + carry / 30),
        apex_m=Estimate(apex, apex - 1.2, apex + 1.2),
        descent_rad=Estimate(0.85, 0.82, 0.88),
        run_m=yd(2 + carry / 30, 1 + carry / 40),
        holds=Estimate(0.71, 0.52, 0.86),
        shown_as_measured=("apex", "descent"),
    )


def flights(clubs: int, names: tuple[str, ...]) -> tuple[FlightRow, ...]:
    """Flights of the first clubs of the bag and of the candidates; one club's spin was not measured."""
    kinds = {name: kind for name, kind, *_ in _BAG}
    rows = [
        flight(name, kind, carry, apex=20 + i / 3, guessed=("spin",) if name == "5 iron" else ())
        for i, (name, kind, _, carry, _) in enumerate(_BAG[:clubs])
        if name != "5 wood" and name not in names
    ]
    return (*rows, *(flight(n, kinds.get(n, "wedge"), 99.6 - 3.1 * i) for i, n in enumerate(names)))


COLUMNS = (
    AirColumn("temperature", "0 °C"),
    AirColumn("temperature", "10 °C"),
    AirColumn("temperature", "20 °C"),
    AirColumn("altitude", "1500 m"),
    AirColumn("wind", "head"),
    AirColumn("wind", "tail"),
    AirColumn("wind", "cross"),
)


def air_card(clubs: int) -> AirCard:
    """Carries of the first clubs in other air; the 5 wood was never hit."""
    rows = []
    for name, kind, _, carry, half in _BAG[:clubs]:
        shares = (-0.02, -0.01, 0.0, 0.08, -0.08, 0.06, -0.01)
        rows.append(
            AirRow(
                name,
                kind,
                name != "5 wood",
                yd(carry, half),
                tuple(yd(carry * (1 + s), half + 1) for s in shares),
                tuple(yd(carry * s, 1.0) for s in shares),
                (*(None,) * 6, yd(carry * 0.06, 1.5)),
            )
        )
    return AirCard("17 °C, sea level, calm", COLUMNS, tuple(rows), ("Wind of 10 mph at 10 m height.",))


def balls(names: tuple[str, ...], visit: str = "2026-05-09") -> tuple[Ball, ...]:
    """Eight stock balls a candidate in a mirrored order, with a mishit, a bad read and warm-up balls."""
    found = [
        Ball(n, names[0], "three-quarter", visit, 78.0 + n, 1.0, -3.0 + n, "warm-up") for n in range(1, 5)
    ]
    order = 5
    for block in range(4):
        for i in range(len(names)) if block % 2 == 0 else reversed(range(len(names))):
            for k in range(2):
                off = 4.2 * math.sin(2.1 * order) - 0.03 * order
                mark = "mishit" if order % 11 == 0 else "bad-read" if order == 14 else ""
                off -= 17 if mark == "mishit" else 0
                side = 3.9 * math.cos(1.7 * order + k) - 1
                found.append(Ball(order, names[i], "stock", visit, 91.0 - 2.8 * i + off, side, off, mark))
                order += 1
    return tuple(found)


def landings(names: tuple[str, ...]) -> tuple[Landing, ...]:
    """Regions around each candidate's centre."""
    return tuple(
        Landing(
            name,
            "stock",
            tuple(
                Region(level, 91.0 - 2.8 * i, -1.0 + 0.6 * i, (3.9 * k, 3.1 * k), 0.3)
                for level, k in ((0.5, 1.18), (0.9, 2.15))
            ),
        )
        for i, name in enumerate(names)
    )


def bag(n: int) -> tuple[BagRow, ...]:
    """The bag list of the first n clubs and a putter."""
    rows = [
        BagRow(
            name,
            kind,
            loft_deg=loft,
            stamped_loft_deg=round(loft),
            length_m=(36 + i / 2) * 0.0254,
            lie_angle_deg=62.5,
            shaft="steel, 95 g, regular",
            bounce_deg=9.0 if kind == "wedge" else None,
            groove_age_months=48.0 if kind == "wedge" else None,
            swing_weight="D2",
        )
        for i, (name, kind, loft, _, _) in enumerate(_BAG[:n])
    ]
    return (*rows, BagRow("Putter", "putter", stamped_loft_deg=3.0, length_m=34 * 0.0254))


def build(name: str = NAMES[1]) -> tuple[BuildClub, ...]:
    """One club with two changes, one of them a bent wedge."""
    return (
        BuildClub(
            name,
            "wedge",
            starting_from="Gap wedge",
            construction="forged",
            loft_deg=50.0,
            bounce_deg=10.0,
            proposed_loft_deg=49.0,
            fields=(
                BuildField(
                    "head", "gap wedge of the set", "cavity wedge, wide sole", "as tested on 2026-05-09"
                ),
                BuildField(
                    "loft", "50°", "49°", "carries 3 yards more and evens the step to the pitching wedge"
                ),
                BuildField("lie angle", "64°", "63°", "marks on the toe side of the sole"),
                BuildField("length", "35.50 in (90.2 cm)"),
                BuildField("shaft", "steel"),
                BuildField("shaft weight", "105 g"),
                BuildField("swing weight", "D3"),
                BuildField("grip", "standard"),
                BuildField("bounce", "10°"),
            ),
        ),
    )


def report(
    n: int = 3,
    clubs: int = 13,
    kind: str = "choice",
    player: str = "Jory Tarnbeck",
    names: tuple[str, ...] = NAMES,
) -> ReportInput:
    """A whole report with n candidates and some clubs."""
    used = names[:n]
    steps = tuple(
        StepLine(a[0], b[0], yd(a[3] - b[3], 4), "gap" if a[3] - b[3] > 18 else "even", 0.9)
        for a, b in itertools.pairwise(_BAG[:clubs])
    )
    return ReportInput(
        player=PlayerLine(player, "left", 14, "a wedge for the 80 to 100 yard shots", "left elbow, settled"),
        visits=(
            VisitLine(
                "2026-05-09",
                "2026-05-09",
                "bay 2, indoors",
                "mat",
                "urethane three-piece",
                "21 °C, 1013 hPa",
                "as measured",
                "measured",
                "checked",
                62,
            ),
        ),
        answer=answer(kind, names) if n else None,
        sides=sides(names) if n else (),
        candidates=candidates(n, names),
        clubs=carries(clubs),
        steps=steps,
        findings=("Between gap wedge and 54 wedge the step is wide: 21 yards (17 to 25).",),
        limits=("14 clubs: within the limit (Rule 4.1b).",),
        landings=landings(used),
        balls=balls(used) if n else (),
        drift=(
            DriftLine(
                "2026-05-09",
                tuple(range(1, 30)),
                tuple(yd(-2.5 * math.exp(-i / 6), 1.5) for i in range(1, 30)),
            ),
        )
        if n
        else (),
        flights=flights(clubs, used),
        flight_notes=("Air: 17 °C, still.",),
        air_card=air_card(clubs) if clubs else None,
        bag=bag(clubs),
        build=build(names[1]),
        counts=Counts(57, (("bad-read", 2), ("left out by the model", 1)), 5),
        cautions=("Warm up first and stop at any pain.",),
        notes=("Spread was pooled across the wedges.",),
    )
