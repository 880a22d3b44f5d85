"""Entry point: runs a command and turns every error into one clear message and an exit code."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

import click

from bagwright.cli.commands import COMMANDS
from bagwright.errors import BagwrightError, MachineError

EXIT_BAD_INPUT = 2
EXIT_MACHINE = 3
EXIT_STOPPED = 130


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="bagwright", message="bagwright %(version)s")
def cli() -> None:
    """Which clubs should this player carry, and how built? From test shots to an answer that says how sure it is.

    \b
    Start here:
      bagwright demo                       an invented player's whole visit, then the app with it
      bagwright serve                      the app for the bay and the desk, on your own data
      bagwright new FOLDER                 a bag file and a shot table to fill in
      bagwright read SHOTS                 what was understood of a shot table
      bagwright trial SHOTS --slot "A,B"   which of these builds earns the slot
    """


for _command in COMMANDS:
    cli.add_command(_command)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command. Returns 0 done, 1 the answer is "no", 2 bad input, 3 the machine failed."""
    _speak_utf8()
    try:
        code = cli.main(args=None if arguments is None else list(arguments), standalone_mode=False)
        sys.stdout.flush()
    except click.exceptions.Abort:
        click.echo("Stopped; nothing was left half done.", err=True)
        return EXIT_STOPPED
    except click.ClickException as error:
        error.show()
        return EXIT_BAD_INPUT
    except BagwrightError as error:
        click.echo(_told(error), err=True)
        return error.exit_code
    except BrokenPipeError:
        _close_quietly()
        return 0
    except OSError as error:
        name = f" ({error.filename})" if error.filename else ""
        click.echo(
            _told(MachineError(f"The machine said no: {error.strerror}{name}.", "Check folder and space.")),
            err=True,
        )
        return EXIT_MACHINE
    return code if isinstance(code, int) else 0


def _told(error: BagwrightError) -> str:
    return f"{error.message}\n  {error.next_step}" if error.next_step else error.message


def _speak_utf8() -> None:
    """Names and signs are not ASCII; a console that cannot show one gets a stand-in, never a crash."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="replace")


def _close_quietly() -> None:
    """The reader of our output went away (`| head`): leave without a second error at exit."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
