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


COMMAND_LINE_ONLY = frozenset({"commander", "iconv-lite", "rw", "safer-buffer"})
"""Packages that come with others but stand in no script of theirs."""


@dataclass(frozen=True, slots=True)
class Vendored:
    """One file of a registry's package; `bundle` where it must be made into a classic script first.

    `parts` where the registry's file holds other projects' code, whose licences ask to be carried along.
    """

    package: str
    version: str
    path: str
    name: str
    licence: str
    bundle: bool = False
    parts: bool = False


FILES = (
    Vendored("htmx.org", "2.0.11", "dist/htmx.min.js", "htmx.min.js", "0BSD"),
    Vendored("htmx-ext-sse", "2.2.4", "dist/sse.min.js", "sse.js", "0BSD"),
    Vendored("vega", "6.4.0", "build/vega.min.js", "vega.min.js", "BSD-3-Clause", parts=True),
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
        (place / f"LICENSE-{one.package}.txt").write_bytes((unpacked / "LICENSE").read_bytes())
        others = unpacked / "LICENSE-3RD-PARTY.txt"
        if one.parts or others.is_file():
            said = parts_of(one, room) if one.parts else others.read_bytes()
            (place / f"LICENSE-{one.package}-parts.txt").write_bytes(said)
    (place / one.name).write_bytes(content)
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


def parts_of(one: Vendored, room: Path) -> bytes:
    """Gather the licences of what a package is made of, its own project's packages aside."""
    npm_install(room, f"{one.package}@{one.version}")
    said = []
    for folder in sorted((room / "node_modules").iterdir()):
        own = folder.name.startswith((".", "@", one.package))
        if own or folder.name in COMMAND_LINE_ONLY:
            continue
        said.append(f"== {folder.name}\n\n{(folder / 'LICENSE').read_text(encoding='utf-8').strip()}\n")
    return "\n".join(said).encode()


def npm_install(room: Path, *wanted: str) -> None:
    """Install packages into a folder of no project."""
    npm = shutil.which("npm") or "npm"
    subprocess.run([npm, "install", "--silent", "--no-save", *wanted], cwd=room, check=True)


def bundled(one: Vendored, room: Path) -> bytes:
    """Make one classic script of a package and what it imports; its names hang on `window.vegaInterpreter`."""
    entry = room / "entry.js"
    entry.write_text(TRAP, encoding="utf-8")
    npm_install(room, ESBUILD, f"{one.package}@{one.version}", "vega-util@2.1.0")
    out = room / "out.js"
    tool = room / "node_modules/.bin/esbuild"
    options = ["--bundle", "--minify", "--format=iife", "--global-name=vegaInterpreter", f"--outfile={out}"]
    subprocess.run([str(tool), str(entry), *options], cwd=room, check=True, capture_output=True)
    return out.read_bytes()


if __name__ == "__main__":
    main()
