"""What the frozen build runs: the command line; without a word, the page; with a workbook dropped on it, the audit.

Some programs are handed our interpreter with `-m` or `-c`: the menu in Calc, the launcher, the worker processes of the
folder mode. A frozen build has no interpreter to hand out, so that it answers to those modules, and to no others.
"""

import multiprocessing
import re
import runpy
import sys
from pathlib import Path

OF_AN_INTERPRETER = re.compile(r"-[bBdEiIOPqRsSuvWxX]+")
MODULES = ("sheetcheck.plugins.", "joblib.externals.loky.backend.")
STATEMENTS = ("from joblib.externals.loky.backend.resource_tracker import main; main(", "from multiprocessing.")


def main() -> None:
    """Run what is asked for."""
    multiprocessing.freeze_support()
    words = sys.argv[1:]
    # What an interpreter is told about itself (-B, -s, …) means nothing here.
    while (
        len(words) > 1 and words[0].startswith("-") and words[0] not in ("-m", "-c") and not words[0].startswith("--")
    ):
        words.pop(0)
    if words[:1] == ["-m"] and words[1].startswith(MODULES):
        sys.argv = words[1:]
        runpy.run_module(words[1], run_name="__main__", alter_sys=True)
        return
    if words[:1] == ["-c"] and words[1].startswith(STATEMENTS):
        exec(words[1], {"__name__": "__main__"})  # noqa: S102 - one of two statements, see above
        return
    if words and all(Path(word).is_file() for word in words):
        from sheetcheck.plugins import launcher  # noqa: PLC0415 - a command imports what it needs

        sys.exit(launcher.main([*words, "--wait"]))
    if not words:
        sys.argv.append("page")
    from sheetcheck.cli import main as command_line  # noqa: PLC0415 - the same

    command_line()


if __name__ == "__main__":
    main()
