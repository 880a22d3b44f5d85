"""The command line: `bagwright COMMAND`. Every command takes --json and --units."""

from __future__ import annotations

from bagwright.cli.main import main

__all__ = ["main"]
