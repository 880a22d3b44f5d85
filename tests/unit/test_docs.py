"""The pages tell the truth: commands, options, columns, keys, limits, links and examples.

All values here are compared with the code itself; no outside source is needed.
"""

from __future__ import annotations

import re
import shlex
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import click
import pytest

import bagwright
from bagwright.bag.fields import BUILD_KEYS, CLUB_KEYS, PLAYER_KEYS, PROPOSED_KEYS, Key
from bagwright.bag.file import load_bag
from bagwright.bag.rules import check
from bagwright.cli.main import cli, main
from bagwright.estimate import LEVEL
from bagwright.shots.limits import Limits
from bagwright.shots.read import read_shots
from bagwright.shots.record import CHANGES, LIES, MEASURES, MISHITS, SWINGS, TEXTS, Conditions
from bagwright.tasks.coursing import LieRow, TeeRow
from bagwright.tasks.stroking import HoleLine

ROOT = Path(__file__).parents[2]
PAGES = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]
ALL_PAGES = [*sorted(ROOT.glob("*.md")), *sorted((ROOT / "docs").glob("*.md"))]
COMMANDS = sorted(cli.commands)
SHARED = {"--json", "--units", "--help"}


def page(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def section(text: str, heading: str) -> str:
    """Return what stands between a heading and the next one of the same level."""
    found = re.search(rf"^## {re.escape(heading)}\n(.*?)(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    assert found, f"no section {heading!r}"
    return found[1]


def blocks(text: str, language: str) -> list[str]:
    """Return the fenced blocks of a language."""
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


def options(command: click.Command) -> list[click.Option]:
    return [parameter for parameter in command.params if isinstance(parameter, click.Option)]


# --- commands --------------------------------------------------------------------------------------------


def test_there_are_commands() -> None:
    promised = {
        "demo",
        "serve",
        "read",
        "brief",
        "plan",
        "trial",
        "distances",
        "check",
        "report",
        "yardages",
        "build",
    }
    assert promised <= set(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_its_section(name: str) -> None:
    command = cli.commands[name]
    assert command.help
    assert command.get_short_help_str()
    text = section(page("docs/commands.md"), f"bagwright {name}")
    assert re.search(rf"^\s*bagwright {name}\b", text, re.MULTILINE), "an example is missing"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_has_help_and_is_documented_with_its_command(name: str) -> None:
    text = page("docs/commands.md")
    own = section(text, f"bagwright {name}")
    everywhere = section(text, "Options of every command")
    several = section(text, "Options of several commands")
    for option in options(cli.commands[name]):
        long = max(option.opts, key=len)
        assert option.help, f"{name} {long} has no help"
        assert f"`{long}" in own + everywhere + several, f"{name} {long} is not documented"
        if long in SHARED:
            assert f"`{long}" in everywhere


def test_no_page_names_an_option_that_is_not_there() -> None:
    known = {
        opt
        for name in COMMANDS
        for option in options(cli.commands[name])
        for opt in (*option.opts, *option.secondary_opts)
    }
    known |= {"--help", "--version", "-h"}
    for where in PAGES:
        text = re.sub(
            r"^.*(?:uv pip|pytest|python -m|dev\.py|ruff|pip install).*$",
            "",
            where.read_text("utf-8"),
            flags=re.M,
        )
        for option in re.findall(r"(?<![\w-])--[a-z][a-z-]*", text):
            assert option in known, f"{where.name} names {option}"


def examples() -> Iterator[tuple[str, str]]:
    """Give every line of a code block that starts a command, with the page it stands on."""
    for where in PAGES:
        text = where.read_text(encoding="utf-8")
        lines = [line for block in blocks(text, "(?:console|text|)") for line in block.splitlines()]
        lines += [line.strip() for line in text.splitlines() if line.startswith("    ")]
        for line in lines:
            if found := re.match(r"\$? ?(bagwright [a-z].*)", line):
                yield where.name, found[1]


@pytest.mark.parametrize(("where", "line"), sorted(set(examples())))
def test_every_example_is_a_command_that_can_be_given(where: str, line: str) -> None:
    words = shlex.split(re.sub(r"\s+(?:>|\|).*$|\s{2,}\S.*$", "", line).replace("[", "").replace("]", ""))[1:]
    assert words[0] in COMMANDS
    command = cli.commands[words[0]]
    given = {option.partition("=")[0] for option in words[1:] if option.startswith("--")}
    known = {opt for option in options(command) for opt in (*option.opts, *option.secondary_opts)} | {
        "--help"
    }
    assert given <= known


def test_examples_were_found() -> None:
    assert {line.split()[1] for _, line in examples()} == set(COMMANDS)


def test_exit_codes_are_told() -> None:
    text = section(page("docs/commands.md"), "What a command gives back")
    for code in ("0", "1", "2", "3", "130"):
        assert re.search(rf"^\| {code} \|", text, re.MULTILINE), code


# --- names -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*MEASURES, *TEXTS, "order", "mark", "carry_at_least"])
def test_every_column_has_its_place_on_the_page_of_names(name: str) -> None:
    assert f"`{name}`" in page("docs/names.md")


@pytest.mark.parametrize("word", [*SWINGS, *LIES, *MISHITS, *CHANGES])
def test_every_word_of_a_cell_is_explained(word: str) -> None:
    assert f"`{word}`" in page("docs/names.md")


@pytest.mark.parametrize("name", [field.name for field in fields(Conditions)])
def test_every_condition_has_its_place_on_the_page_of_names(name: str) -> None:
    assert f"`{name}`" in page("docs/names.md")


@pytest.mark.parametrize(
    "name", sorted({field.name for row in (TeeRow, LieRow, HoleLine) for field in fields(row)} - {"name"})
)
def test_every_figure_of_a_hole_has_its_place_on_the_page_of_names(name: str) -> None:
    assert f"`{name}`" in section(page("docs/names.md"), "Courses and strokes")


@pytest.mark.parametrize("name", sorted(set(bagwright.__all__) - {"__version__"}))
def test_every_public_function_is_told(name: str) -> None:
    assert f"`bw.{name}`" in page("docs/python.md")


@pytest.mark.parametrize(
    "key", [*PLAYER_KEYS, *CLUB_KEYS, *BUILD_KEYS, *PROPOSED_KEYS], ids=lambda key: str(key.name)
)
def test_every_key_of_a_bag_file_is_told_with_its_words(key: Key) -> None:
    text = page("docs/bag-file.md")
    assert f"`{key.name}`" in text
    for word in set((key.choices or {}).values()):
        assert f'"{word}"' in text


# --- limits ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [field.name for field in fields(Limits)])
def test_every_limit_is_told_with_its_number(name: str) -> None:
    row = re.search(rf"^\|[^|]+\|([^|]+)\| `{name}` \|$", page("docs/limits.md"), re.MULTILINE)
    assert row, f"{name} is not on the page"
    number, _, unit = row[1].strip().partition(" ")
    assert int(number.replace(",", "")) * {"": 1, "MiB": 2**20}[unit] == getattr(Limits(), name)


def test_no_limit_is_told_that_is_not_there() -> None:
    told = re.findall(r"^\|[^|]+\|[^|]+\| `(\w+)` \|$", page("docs/limits.md"), re.MULTILINE)
    assert sorted(told) == sorted(field.name for field in fields(Limits))


def test_ranges_are_the_ones_that_the_pages_tell_of() -> None:
    assert f"{LEVEL * 100:.0f} %" in page("README.md")


# --- the tables and the bag in the README ----------------------------------------------------------------


def shown_tables() -> list[str]:
    return blocks(page("README.md"), "csv")


def test_the_readme_shows_three_layouts() -> None:
    tables = shown_tables()
    assert len(tables) == 3
    assert len({table.splitlines()[0] for table in tables}) == 3
    assert any(";" in table and "," in table for table in tables), "one in metres with decimal commas"


@pytest.mark.parametrize("i", range(3))
def test_a_table_of_the_readme_is_read_without_a_question_that_matters(i: int, tmp_path: Path) -> None:
    path = tmp_path / "visit.csv"
    path.write_text(shown_tables()[i], encoding="utf-8")
    result = read_shots(path)
    assert not result.open_questions
    assert not result.rejected
    assert not result.unknown_clubs
    assert result.accepted >= 3
    assert result.rows_read == result.accepted + len(result.left_out)


def test_the_three_tables_of_the_readme_say_the_same(tmp_path: Path) -> None:
    """They are one visit in three layouts: the same metres come out, to the half-unit of the rounding."""
    read = []
    for i, table in enumerate(shown_tables()):
        path = tmp_path / f"visit{i}.csv"
        path.write_text(table, encoding="utf-8")
        shots = read_shots(path).table
        read.append(
            (list(shots.text("club")), shots.measure("carry_m"), shots.measure("offline_m"), shots.marks)
        )
    clubs, carry, side, marks = read[0]
    for other_clubs, other_carry, other_side, other_marks in read[1:]:
        assert len(other_clubs) == len(clubs)
        assert other_carry == pytest.approx(carry, abs=0.5)
        assert other_side == pytest.approx(side, abs=0.5)
        assert {i: mark.kind for i, mark in other_marks.items()} == {
            i: mark.kind for i, mark in marks.items()
        }


def test_the_bag_of_the_readme_is_read(tmp_path: Path) -> None:
    (shown,) = blocks(page("README.md"), "toml")
    path = tmp_path / "bag.toml"
    path.write_text(shown, encoding="utf-8")
    bag = load_bag(path)
    assert len(bag.clubs) == len(tomllib.loads(shown)["club"])
    assert check(bag).within_limits is not False


def test_the_answer_shown_in_the_readme_is_the_programs_own(capsys: pytest.CaptureFixture[str]) -> None:
    """Figures may move by a rounding between numerical libraries; words, clubs and order may not."""
    demo = Path(bagwright.__file__).parent / "demo" / "bag.toml"
    assert main(["trial", "--bag", str(demo), "--slot", "Gap wedge,50 cavity,51 blade", "--no-ask"]) == 0
    given = _without_figures(capsys.readouterr().out)
    (shown,) = (block for block in blocks(page("README.md"), "text") if "Candidates" in block)
    for line in shown.splitlines():
        assert _without_figures(line) in given


def _without_figures(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"[\d.]+", "#", text)).strip()


# --- the pages themselves --------------------------------------------------------------------------------


@pytest.mark.parametrize("where", ALL_PAGES, ids=lambda path: path.name)
def test_links_to_files_lead_somewhere(where: Path) -> None:
    for target in re.findall(r"\]\((?!https?:|#|mailto:)([^)#]+)", where.read_text(encoding="utf-8")):
        assert (where.parent / target).exists(), target


def test_the_readme_leads_to_every_page() -> None:
    text = page("README.md")
    for where in (ROOT / "docs").glob("*.md"):
        assert f"(docs/{where.name})" in text
    for name in ("CHANGELOG.md", "CONTRIBUTING.md", "SECURITY.md", "LICENSE"):
        assert f"({name})" in text


def test_the_readme_says_what_is_not_done() -> None:
    text = section(page("README.md"), "What it does not do").lower()
    for word in ("putter", "flight", "course", "governing bodies", "medical"):
        assert word in text


def test_the_licence_is_apache_2() -> None:
    text = page("LICENSE")
    assert "Apache License" in text
    assert "Version 2.0, January 2004" in text
    assert "END OF TERMS AND CONDITIONS" in text
