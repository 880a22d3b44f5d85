"""The commands that open the app: on the user's own data, or with the invented player in it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from bagwright import tasks
from bagwright.cli import show
from bagwright.cli.options import as_system, give, output_options

if TYPE_CHECKING:
    from bagwright.web.serve import Serving

_FILE = click.Path(path_type=Path)


def _listening_options(function: Any) -> Any:
    for decorate in (
        click.option("--browser/--no-browser", default=True, help="Open the page in a browser."),
        click.option("--port", type=click.IntRange(0, 65535),
                     help="Port to listen on; 0 is any free one. Left out: 8470, or the next free one."),
    ):  # fmt: skip
        function = decorate(function)
    return function


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@_listening_options
@click.option("--shop", is_flag=True, help="For several professionals: accounts and log-in.")
@click.option("--https", is_flag=True, help="The shop is reached by https: a proxy on this machine ends it.")
@click.option("--name", "names", multiple=True, metavar="HOST", help="Host name that the shop is reached by.")
@click.option("--proxy", default="", metavar="ADDRESS", help="The proxy that may say whose request it is.")
def serve(
    host: str, port: int | None, browser: bool, shop: bool, https: bool, names: tuple[str, ...], proxy: str
) -> None:
    """Open the app for the bay and the desk, on your own data.

    \b
    bagwright serve
    bagwright serve --shop --host 0.0.0.0 --name bay.example
    """
    from bagwright.web.serve import Serving

    listen(Serving(host, port, shop, https, names, proxy, browser))


@click.command()
@click.option("--out", type=_FILE, default=Path("bagwright-demo"), show_default=True,
              help="Folder for the demo's files.")  # fmt: skip
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper size."
)
@click.option("--serve/--no-serve", "serving", default=True,
              help="Open the app with the invented player in it; --json never does.")  # fmt: skip
@click.option("--pick/--no-pick", "choose", default=True,
              help="Choose the best bag on the demo's course too, which takes longer than all the rest.")  # fmt: skip
@_listening_options
@output_options
def demo(
    out: Path, paper: str, serving: bool, choose: bool, port: int | None, browser: bool, as_json: bool,
    units: str,
) -> None:  # fmt: skip
    """Run an invented player's whole visit: distances, verdict, best bag, papers; then open the app with it.

    \b
    bagwright demo --out shown
    bagwright demo --no-serve
    bagwright demo --no-pick
    """
    sheets: Literal["a4", "letter"] = "letter" if paper == "letter" else "a4"
    with show.Progress(as_json) as progress:
        result = tasks.run_demo(out, sheets, as_system(units), progress, choose=choose)
    give(result, as_json, lambda: show.demo(result, as_system(units)))
    if serving and not as_json:
        from bagwright.web.serve import Serving

        os.environ["BAGWRIGHT_DATA"] = str((out / "app").absolute())
        os.environ.pop("DATABASE_URL", None)  # the invented player never joins a shop's own data
        click.echo("")
        listen(Serving(port=port, browser=browser), demo=True)


def listen(serving: Serving, *, demo: bool = False) -> None:
    """Serve until Ctrl-C; the address is said when it is open."""
    from bagwright.web.serve import serve as run

    run(serving, lambda line: click.echo(line), demo=demo)
    click.echo("Stopped. Everything that was entered is kept.", err=True)
