"""Fetch the scripts that the pages carry, from the npm registry, and write them where they lie.

For maintainers only: needs `npm`. Everybody else has the committed files; a test holds them to their hashes.

    .venv/bin/python -m bench.vendor_js
"""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import tarfile
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
PLACE = ROOT / "src/bagwright/web/static/bagwright/vendor"
TEST_PLACE = ROOT / "tests/web/vendor"
ESBUILD = "esbuild@0.25.0"
TRAP = (
    'export * from "vega-interpreter";\n'
    "// The registry's file is an ES module that imports another by name; import maps would have to stand\n"
    "// inside the page, which its security policy forbids. Hence one classic script.\n"
)


@dataclass(frozen=True, slots=True)
class Vendored:
    """One file of a registry's package; `bundle` where it must be made into a classic script first."""

    package: str
    version: str
    path: str
    name: str
    licence: str
    bundle: bool = False


FILES = (
    Vendored("htmx.org", "2.0.11", "dist/htmx.min.js", "htmx.min.js", "0BSD"),
    Vendored("htmx-ext-sse", "2.2.4", "dist/sse.min.js", "sse.js", "0BSD"),
    Vendored("vega", "6.4.0", "build/vega.min.js", "vega.min.js", "BSD-3-Clause"),
    Vendored("vega-interpreter", "2.3.2", "", "vega-interpreter.min.js", "BSD-3-Clause", bundle=True),
)
TEST_FILES = (Vendored("axe-core", "4.14.1", "axe.min.js", "axe.min.js", "MPL-2.0"),)


def main() -> None:
    """Fetch all of them and write one account a place."""
    for place, files in ((PLACE, FILES), (TEST_PLACE, TEST_FILES)):
        place.mkdir(parents=True, exist_ok=True)
        account = [vendor(one, place) for one in files]
        (place / "VENDOR.json").write_text(json.dumps(account, indent=2) + "\n", encoding="utf-8")


def vendor(one: Vendored, place: Path) -> dict[str, str]:
    """Fetch one file with its licence; returns its line of the account."""
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        unpacked = unpack(one, room)
        content = bundled(one, room) if one.bundle else (unpacked / one.path).read_bytes()
        licence = (unpacked / "LICENSE").read_bytes()
    (place / one.name).write_bytes(content)
    (place / f"LICENSE-{one.package}.txt").write_bytes(licence)
    return {
        "file": one.name,
        "package": one.package,
        "version": one.version,
        "licence": one.licence,
        "sha256": hashlib.sha256(content).hexdigest(),
        "made": f"bundled by {ESBUILD}" if one.bundle else f"{one.path} of the package",
    }


def unpack(one: Vendored, room: Path) -> Path:
    """Fetch a package from the registry and unpack it."""
    npm = shutil.which("npm")
    if npm is None:
        raise SystemExit("npm is needed to renew the vendored scripts.")
    subprocess.run([npm, "pack", "--silent", f"{one.package}@{one.version}"], cwd=room, check=True)
    (archive,) = room.glob("*.tgz")
    with tarfile.open(archive) as packed:
        packed.extractall(room, filter="data")
    return room / "package"


def bundled(one: Vendored, room: Path) -> bytes:
    """Make one classic script of a package and what it imports; its names hang on `window.vegaInterpreter`."""
    npm = shutil.which("npm") or "npm"
    entry = room / "entry.js"
    entry.write_text(TRAP, encoding="utf-8")
    wanted = [ESBUILD, f"{one.package}@{one.version}", "vega-util@2.1.0"]
    subprocess.run([npm, "install", "--silent", "--no-save", *wanted], cwd=room, check=True)
    out = room / "out.js"
    tool = room / "node_modules/.bin/esbuild"
    options = ["--bundle", "--minify", "--format=iife", "--global-name=vegaInterpreter", f"--outfile={out}"]
    subprocess.run([str(tool), str(entry), *options], cwd=room, check=True, capture_output=True)
    return out.read_bytes()


if __name__ == "__main__":
    main()
