"""What the contract tests look at: the committed files, their text and their syntax trees."""

from __future__ import annotations

import ast
import functools
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["ROOT", "committed", "functions", "own_text", "public_modules", "python_files", "syntax"]

ROOT = Path(__file__).resolve().parent.parent.parent
PACKAGE = ROOT / "src" / "brasswright"
FOREIGN = {".lock", ".woff2", ".ttf", ".png", ".jpg", ".pdf"}


@functools.cache
def committed() -> tuple[Path, ...]:
    """Every file that git follows and that lies in the folder."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True)
    files = (ROOT / name for name in listed.stdout.split("\0") if name)
    return tuple(file for file in files if file.is_file())


def own_text() -> Iterator[tuple[Path, str]]:
    """The committed files that we wrote ourselves, with their text."""
    for file in committed():
        foreign = file.suffix in FOREIGN or ".min." in file.name or file.name.endswith(("OFL.txt", "-LICENSE.txt"))
        if not foreign:
            yield file.relative_to(ROOT), file.read_text(encoding="utf-8")


def python_files() -> tuple[Path, ...]:
    """Every committed Python file."""
    return tuple(file for file in committed() if file.suffix == ".py")


def public_modules() -> tuple[Path, ...]:
    """The package's modules whose name does not begin with an underscore, and the packages themselves."""
    own = (file for file in python_files() if file.is_relative_to(PACKAGE))
    return tuple(file for file in own if file.name == "__init__.py" or not file.name.startswith("_"))


@functools.cache
def syntax(file: Path) -> ast.Module:
    """The syntax tree of a Python file."""
    return ast.parse(file.read_text(encoding="utf-8"), filename=str(file))


def functions(tree: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Every function and method, nested ones included."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node
