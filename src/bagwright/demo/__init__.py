"""Files that come with the program: the demo's invented player, and a folder to start from."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from bagwright.files import write_whole
from bagwright.units import System

FILES = ("bag.toml", "visit-1-whole-bag.csv", "visit-2-wedges.csv", "visit-2-by-hand.csv")
COURSES = ("wethermoor.geojson", "lauensee-card.csv")
"""Two invented courses: a map, where the player plays, and a course that has its scorecard only."""
TEE = "yellow"
SLOT = "Gap wedge,50 cavity,51 blade"
DATE = (2026, 5, 9)

_START_SHOTS = {
    "yards": "Shot,Club,Swing,Carry (yd),Side (yd),Note\n1,50 wedge,stock,,,\n",
    "metres": "Shot,Club,Swing,Carry (m),Side (m),Note\n1,50 wedge,stock,,,\n",
}


def copy_demo(out: Path) -> tuple[Path, ...]:
    """Write the demo's own bag, shot tables and courses into `out`; files of the same name are replaced."""
    return tuple(write_whole(out / name, _content(name)) for name in (*FILES, *COURSES))


def course_file(name: str) -> bytes:
    """Give one of the demo's courses as it is read."""
    return _content(name)


def start_files(system: System) -> dict[str, bytes]:
    """Give the files of a new player's folder by name: a bag and a shot table to fill in."""
    return {"bag.toml": _content("start-bag.toml"), "shots.csv": _START_SHOTS[system].encode()}


def _content(name: str) -> bytes:
    return files("bagwright.demo").joinpath(name).read_bytes()
