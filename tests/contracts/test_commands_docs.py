"""The page of commands is current and whole, pages for beginners can be followed, the index leaves nothing out."""

from __future__ import annotations

import re
import shlex
from typing import TYPE_CHECKING

import click
import pytest

from brasswright.cli.main import COMMANDS
from brasswright.workshop.settings import KNOWN
from tests.contracts.repository import committed
from tests.unit.commands_bench import ROOT, run
from tools import checks, demo, docs, priors

if TYPE_CHECKING:
    from pathlib import Path

DOCS = ROOT / "docs"
WALKED = ("tutorial/first-job.md", "how-to/enter-a-day.md")


def test_the_page_of_commands_is_current() -> None:
    assert docs.PAGE.read_text(encoding="utf-8") == docs.commands_page(), "run `make docs`"


def test_a_page_that_is_not_current_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stale = tmp_path / "commands.md"
    stale.write_text(docs.commands_page().replace("--figures", "--numbers"), encoding="utf-8")
    monkeypatch.setattr(docs, "PAGE", stale)
    monkeypatch.setattr(docs, "ROOT", tmp_path)
    monkeypatch.setattr(checks, "main", lambda _: 0)
    monkeypatch.setattr(priors, "main", lambda _: 0)
    assert docs.main(["--check"]) == 1
    assert docs.main([]) == 0
    assert docs.main(["--check"]) == 0


@pytest.mark.parametrize("called", [name for name, _ in docs.commands()])
def test_every_command_argument_and_option_is_explained(called: str) -> None:
    command = dict(docs.commands())[called]
    page = docs.PAGE.read_text(encoding="utf-8")
    section = page.partition(f"\n## `{called}`\n")[2].partition("\n## ")[0]
    assert section
    assert command.help
    context = click.Context(command)
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert parameter.help, parameter.name
            assert all(name in section for name in parameter.opts), parameter.name
        else:
            metavar = parameter.make_metavar(context).strip("[].")
            assert metavar in command.help, f"{called}: its help does not say what {metavar} is"


def test_no_command_is_missing_and_each_says_in_the_list_what_it_is_for() -> None:
    page = docs.PAGE.read_text(encoding="utf-8")
    assert set(COMMANDS) <= set(re.findall(r"^## `(\w+)`$", page, flags=re.MULTILINE))
    listed = run("--help").out
    for name, (_, summary) in COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(summary)}$", listed, flags=re.MULTILINE)


def test_every_setting_is_listed() -> None:
    page = docs.PAGE.read_text(encoding="utf-8")
    assert [key for key in KNOWN if f"| `{key}` |" not in page] == []


@pytest.mark.parametrize("called", [name for name, _ in docs.commands() if name not in COMMANDS or name != "serve"])
def test_help_ends_well_and_wraps_no_example(called: str) -> None:
    said = run(*called.split(), "--help")
    assert said.code == 0
    assert "\\b" not in said.out
    assert "\b" not in said.out


# ------------------------------------------------------------------------------------------ pages that can be followed


@pytest.fixture(scope="module")
def invented(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo workshop after its first day."""
    folder = tmp_path_factory.mktemp("demo") / "tern-quay-bench"
    workshop = demo.make(folder)
    demo.enter(workshop, demo.take_in(workshop))
    workshop.store.close()
    return folder


def typed(page: str) -> list[tuple[str, bool]]:
    """The commands that a page shows behind a dollar sign, each with whether the page says that it is refused."""
    lines = (DOCS / page).read_text(encoding="utf-8").splitlines()
    return [
        (line.removeprefix("$ brasswright "), following.startswith("Refused"))
        for line, following in zip(lines, [*lines[1:], ""], strict=True)
        if line.startswith("$ brasswright ")
    ]


@pytest.mark.parametrize("page", WALKED)
def test_what_a_page_tells_to_type_does_what_it_says(
    page: str, invented: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BRASSWRIGHT_WORKSHOP", str(invented))
    assert typed(page)
    for words, is_refused in typed(page):
        done = run(*shlex.split(words))
        assert done.code == int(is_refused), f"{words}\n{done.err}"


def test_the_tutorial_meets_the_hold_point_it_tells_of(invented: Path) -> None:
    words = ("note", 214, "started", "operation=open:case_off", "title=Case lifted", "--by", "tw", "-w", invented)
    assert "hold 4, Presumed asbestos" in run(*words).err


def test_work_done_all_the_same_is_entered_as_the_page_says(invented: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BRASSWRIGHT_WORKSHOP", str(invented))
    page = (DOCS / WALKED[1]).read_text(encoding="utf-8")
    example = re.search(r"^brasswright (note 214 started .+)$", page, flags=re.MULTILINE)
    assert example is not None
    assert run(*shlex.split(example[1]), "--by", "ic").code == 0
    body = run("show", 214, "--json").json["entries"][-1]["body"]
    assert "presumed_asbestos" in body["done_while"]


def test_the_tutorial_counts_the_entries_of_the_demo(invented: Path) -> None:
    count = run("show", 214, "-w", invented, "--json").json["entries"]
    first_day = [each for each in count if each["at"] < "2026-03-03"]
    told = re.search(r"\((\d+) entries\)", (DOCS / WALKED[0]).read_text(encoding="utf-8"))
    assert told is not None
    assert int(told[1]) == len(first_day)


def test_the_index_leaves_no_page_out() -> None:
    index = (DOCS / "README.md").read_text(encoding="utf-8")
    linked = {(DOCS / target).resolve() for target in re.findall(r"\]\(([^)#]+)", index)}
    own = (path for path in committed() if path.is_relative_to(DOCS) and path.suffix == ".md")
    pages = {path for path in own if path.parent.name != "decisions"} - {DOCS / "README.md"}
    assert sorted(str(path.relative_to(DOCS)) for path in pages if not linked & {path, path.parent}) == []
