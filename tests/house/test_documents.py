"""The documents: every command is documented, and what they show can be run."""

import re

import pytest
import typer

from tests.house.reading import ROOT
from thawline.cli.app import app


def commands(group=None, prefix=""):
    command = typer.main.get_command(app) if group is None else group
    for name, child in command.commands.items():
        if hasattr(child, "commands"):
            yield from commands(child, f"{prefix}{name} ")
        else:
            yield f"{prefix}{name}", child


COMMANDS = dict(commands())


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_is_in_the_readme_and_helps(name):
    """README lists the command; the command and all of its options say what they do."""
    assert f"`thawline {name}" in (ROOT / "README.md").read_text("utf-8")
    command = COMMANDS[name]
    assert (command.help or "").strip()
    for parameter in command.params:
        if parameter.name != "help":
            assert (getattr(parameter, "help", "") or "").strip(), parameter.name


def test_the_readme_names_no_command_that_is_not_there():
    """What README promises in its table exists."""
    text = (ROOT / "README.md").read_text("utf-8")
    named = set(re.findall(r"^\| `thawline ((?:vehicle )?\w+)", text, re.M))
    assert named == set(COMMANDS)


def test_one_runnable_command_before_line_thirty():
    """A newcomer finds `make demo` early."""
    assert "make demo" in "\n".join((ROOT / "README.md").read_text("utf-8").splitlines()[:30])


DOCUMENTS = sorted([*ROOT.glob("*.md"), *ROOT.glob("docs/**/*.md"), *ROOT.glob("changelog.d/*.md")])


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda p: p.name)
def test_links_between_documents_lead_somewhere(path):
    """Relative links in our documents exist."""
    for target in re.findall(r"\]\((?!http)([^)#]+)\)", path.read_text("utf-8")):
        assert (path.parent / target).exists(), target
