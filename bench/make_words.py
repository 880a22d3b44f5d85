"""The core's own catalogue: which templates the code has, and their German.

    python -m bench.make_words            # adds new templates to the .po, drops unused ones, writes the .mo
    python -m bench.make_words --missing  # lists what has no German yet

A template is the constant text in a call of `tell`, `tell_n`, `template`, `template_n`, `phrase` or `sense`. Those
without a letter outside their braces, such as "{low} ({high})", may go without a translation.
"""

from __future__ import annotations

import argparse
import ast
import re
import struct
from collections.abc import Iterator
from pathlib import Path
from string import Formatter

SOURCE = Path(__file__).parents[1] / "src" / "bagwright"
PO = SOURCE / "locale" / "de" / "LC_MESSAGES" / "bagwright.po"
MO = PO.with_suffix(".mo")
PLURALS = "nplurals=2; plural=(n != 1);"
HEAD = (
    "Content-Type: text/plain; charset=UTF-8\n"
    "Content-Transfer-Encoding: 8bit\n"
    "Language: de\n"
    f"Plural-Forms: {PLURALS}\n"
)
TEXTS = {
    "tell": slice(0, 1), "template": slice(0, 1), "phrase": slice(0, 1), "sense": slice(1, 2),
    "tell_n": slice(0, 2), "template_n": slice(0, 2),
}  # fmt: skip
"""Where in the call of each of the functions its templates stand."""

Key = tuple[str, ...]
"""One template, or those of one and of many."""


def used(folder: Path = SOURCE) -> dict[Key, list[str]]:
    """The templates of the code, each with the files that it stands in."""
    found: dict[Key, list[str]] = {}
    for path in sorted(folder.rglob("*.py")):
        for key in _of(ast.parse(path.read_text(encoding="utf-8"))):
            found.setdefault(key, []).append(str(path.relative_to(folder)))
    return found


def _of(tree: ast.AST) -> Iterator[Key]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            texts = node.args[TEXTS.get(name, slice(0, 0))]
            values = [arg.value for arg in texts if isinstance(arg, ast.Constant)]
            if texts and len(values) == len(texts):
                yield tuple(str(value) for value in values)


def fields(template: str) -> list[tuple[str, str]]:
    """The fields of a template with their formats."""
    return [(name, spec or "") for _, name, spec, _ in Formatter().parse(template) if name is not None]


def needs_words(template: str) -> bool:
    """Whether there is anything to translate: a letter outside the braces."""
    return bool(re.search(r"[^\W\d_]", "".join(text for text, *_ in Formatter().parse(template))))


def read(path: Path = PO) -> dict[Key, Key]:
    """The catalogue: the template or templates of a message, and their translations."""
    found: dict[Key, Key] = {}
    if not path.exists():
        return found
    for block in path.read_text(encoding="utf-8").split("\n\n"):
        parts: dict[str, str] = {}
        at = ""
        for line in block.splitlines():
            match = re.match(r'(msgid|msgid_plural|msgstr(?:\[\d\])?) "', line)
            if match:
                at = match[1]
                parts[at] = ""
                line = line[len(at) + 1 :]
            if line.startswith('"') and at:
                parts[at] += ast.literal_eval(line)
        if parts.get("msgid"):
            key = tuple(parts[name] for name in ("msgid", "msgid_plural") if name in parts)
            found[key] = tuple(parts[name] for name in sorted(parts) if name.startswith("msgstr"))
    return found


def _quoted(text: str) -> str:
    made = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{made}"'


def write(catalogue: dict[Key, Key], path: Path = PO) -> None:
    """Write the catalogue, sorted, so that a change of the code moves no other line."""
    blocks = ['msgid ""\nmsgstr ""\n' + "\n".join(_quoted(line + "\n") for line in HEAD.splitlines())]
    for key in sorted(catalogue):
        told = catalogue[key]
        lines = [f"msgid {_quoted(key[0])}"]
        if len(key) == 2:
            lines.append(f"msgid_plural {_quoted(key[1])}")
            lines += [f"msgstr[{i}] {_quoted(text)}" for i, text in enumerate(told)]
        else:
            lines.append(f"msgstr {_quoted(told[0])}")
        blocks.append("\n".join(lines))
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n\n".join(blocks) + "\n", encoding="utf-8")


def compiled(catalogue: dict[Key, Key]) -> bytes:
    """The catalogue as the standard library's gettext reads it (GNU gettext manual, "The Format of GNU MO Files")."""
    pairs = [("", HEAD), *(("\0".join(key), "\0".join(told)) for key, told in catalogue.items() if all(told))]
    entries = sorted((one.encode(), other.encode()) for one, other in pairs)
    ids = b"".join(one + b"\0" for one, _ in entries)
    texts = b"".join(other + b"\0" for _, other in entries)
    table_at, start = 28, 28 + 16 * len(entries)
    rows: list[bytes] = []
    for which, base in ((0, start), (1, start + len(ids))):
        at = base
        for entry in entries:
            rows.append(struct.pack("<II", len(entry[which]), at))
            at += len(entry[which]) + 1
    head = struct.pack("<7I", 0x950412DE, 0, len(entries), table_at, table_at + 8 * len(entries), 0, 0)
    return head + b"".join(rows) + ids + texts


def missing(catalogue: dict[Key, Key], code: dict[Key, list[str]]) -> list[Key]:
    """Templates of the code that have no German yet."""
    return [key for key in code if any(map(needs_words, key)) and not all(catalogue.get(key, ("",)))]


def main() -> None:
    """Bring the catalogue in step with the code."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--missing", action="store_true")
    chosen = options.parse_args()
    code, known = used(), read()
    kept = {
        key: known.get(key, ("",) * len(key)) for key in code if key in known or any(map(needs_words, key))
    }
    if chosen.missing:
        for key in missing(known, code):
            print(*key, code[key], sep="\n    ")
        return
    write(kept)
    MO.write_bytes(compiled(kept))
    print(f"{len(kept)} templates, {len(missing(kept, code))} without German.")


if __name__ == "__main__":
    main()
