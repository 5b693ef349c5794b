"""The command line: options in, exit status out. What is heavy is imported only by the command that needs it."""

from sheetcheck.cli.app import app
from sheetcheck.cli.status import run


def main() -> None:
    """Run the command line; entry point of the installed command."""
    run(app)


__all__ = ["app", "main"]
