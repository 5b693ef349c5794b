"""README, DEVELOPERS and CI say what is so."""

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
import typer.main

from sheetcheck.cli import app
from sheetcheck.rules import all_rules

CONSOLE = re.compile(r"```console\n(.*?)```", re.DOTALL)


def commands(text: str) -> list[str]:
    return [line[2:] for block in CONSOLE.findall(text) for line in block.splitlines() if line.startswith("$ ")]


@pytest.fixture(scope="module")
def readme(root: Path) -> str:
    return (root / "README.md").read_text(encoding="utf-8")


def test_ci_runs_the_very_test_command_of_the_readme(root: Path, readme: str) -> None:
    tests = [c for c in commands(readme) if "pytest" in c]
    assert len(tests) == 1
    assert tests[0] in (root / ".ci/run").read_text(encoding="utf-8").splitlines()


def test_readme_names_every_command(readme: str) -> None:
    names = set(typer.main.get_command(app).commands)  # type: ignore[attr-defined]  # a group of commands
    assert {n for n in names if f"sheetcheck {n}" not in readme} == set()


def test_commands_of_the_readme_run(root: Path, readme: str, tmp_path: Path) -> None:
    plain = [c for c in commands(readme) if c.startswith("sheetcheck ")]
    assert plain
    for command in plain:
        words = shlex.split(command)[1:]
        words = [str(root / w) if w.startswith("examples/") else w for w in words]
        done = subprocess.run(
            [sys.executable, "-m", "sheetcheck", *words], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert done.returncode in (0, 1), f"{command}: {done.stderr}"


def test_every_rule_has_a_manual_that_is_printed() -> None:
    for rule in all_rules():
        assert rule.manual.problem
        assert all(text for _heading, text in rule.manual.sections())


def test_nothing_names_a_path_of_a_machine(root: Path) -> None:
    shown = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"], cwd=root, capture_output=True, text=True, check=True
    )
    bad = re.compile(r"/(?:home|Users|work|root)/\w")
    named = [
        name
        for name in shown.stdout.splitlines()
        if name.endswith((".py", ".md", ".toml", ".csv", ".txt"))
        and bad.search((root / name).read_text(encoding="utf-8"))
    ]
    assert [n for n in named if not n.endswith("test_docs.py")] == []
