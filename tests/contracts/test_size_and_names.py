"""Small and whole: lengths of files and functions, public names, docstrings, constants, unfinished marks."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from typing import TYPE_CHECKING

from tests.contracts.repository import PACKAGE, ROOT, committed, functions, public_modules, python_files, syntax

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

FILE_LINES = 400
FUNCTION_LINES = 40
SCRIPT_LINES = 300
ALL_SCRIPT_LINES = 1000
CONSTANTS_OF_PHYSICS = {1e5, 273.15, 101325.0, 6894.757, 6894.76, 9.81, 9.80665, 8.314, 4186.0}
MANY_DIGITS = re.compile(r"^[\d_.]+", re.ASCII)
VAGUE = {"data", "helper", "helpers", "manager", "managers", "misc", "process", "util", "utils", "common"}
UNFINISHED = re.compile(r"\b(TO" + "DO|FIX" + "ME|XX" + "X|Not" + r"ImplementedError)\b")


def lines_of(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of a function without its decorators and docstring."""
    length = (function.end_lineno or function.lineno) - function.lineno + 1
    if ast.get_docstring(function, clean=False) is None:
        return length
    docstring = function.body[0]
    return length - ((docstring.end_lineno or docstring.lineno) - docstring.lineno + 1)


def public(nodes: list[ast.stmt]) -> Iterator[ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef]:
    """Public classes and functions, and public methods of those classes."""
    for node in nodes:
        if isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from public(node.body)


def stands_in(for_what: ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    """Whether a definition is an overload or a setter, whose docstring stands at its sibling."""
    marks = (ast.unparse(mark) for mark in for_what.decorator_list)
    return any(mark.endswith(("overload", ".setter")) for mark in marks)


def where(file: Path, line: int = 0) -> str:
    """A place in the repository."""
    return f"{file.relative_to(ROOT)}:{line}" if line else str(file.relative_to(ROOT))


def test_no_file_is_long() -> None:
    lengths = {where(file): len(file.read_text(encoding="utf-8").splitlines()) for file in python_files()}
    assert {file: length for file, length in lengths.items() if length > FILE_LINES} == {}


def test_no_function_is_long() -> None:
    lengths = {
        f"{where(file, function.lineno)} {function.name}": lines_of(function)
        for file in python_files()
        for function in functions(syntax(file))
    }
    assert {name: length for name, length in lengths.items() if length > FUNCTION_LINES} == {}


def test_the_docstring_is_not_counted() -> None:
    (function,) = functions(ast.parse('def f():\n    """One.\n\n    Two.\n    """\n    a = 1\n    return a\n'))
    assert lines_of(function) == 3


def test_own_scripts_are_small() -> None:
    own = [file for file in committed() if file.suffix == ".js" and ".min." not in file.name]
    lengths = {where(file): len(file.read_text(encoding="utf-8").splitlines()) for file in own}
    assert {file: length for file, length in lengths.items() if length > SCRIPT_LINES} == {}
    assert sum(lengths.values()) <= ALL_SCRIPT_LINES


def test_every_public_module_lists_its_names() -> None:
    def lists(file: Path) -> bool:
        targets = (
            [*node.targets] if isinstance(node, ast.Assign) else [node.target]
            for node in syntax(file).body
            if isinstance(node, ast.Assign | ast.AnnAssign)
        )
        return any(isinstance(name, ast.Name) and name.id == "__all__" for names in targets for name in names)

    assert [where(file) for file in public_modules() if not lists(file)] == []


def test_everything_public_has_a_docstring() -> None:
    silent = [where(file) for file in public_modules() if not ast.get_docstring(syntax(file))]
    silent += [
        f"{where(file, node.lineno)} {node.name}"
        for file in public_modules()
        for node in public(syntax(file).body)
        if not ast.get_docstring(node) and not stands_in(node)
    ]
    assert silent == []


def test_constants_of_physics_live_in_units_and_tables() -> None:
    strays = [
        f"{where(file, node.lineno)} {node.value}"
        for file in python_files()
        if file.is_relative_to(PACKAGE) and file.name != "units.py" and file.parent.name != "tables"
        for node in ast.walk(syntax(file))
        if isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value in CONSTANTS_OF_PHYSICS
    ]
    assert strays == []


def long_numbers(text: str) -> list[str]:
    """Decimal literals of twelve digits and more: output of a program rather than something a person wrote."""
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    numbers = (token.string for token in tokens if token.type == tokenize.NUMBER and "." in token.string)
    return [number for number in numbers if len(re.sub(r"\D", "", _mantissa(number)).strip("0")) >= 12]


def _mantissa(number: str) -> str:
    match = MANY_DIGITS.match(number)
    return match[0] if match else ""


def test_no_test_repeats_our_own_output() -> None:
    own = [file for file in python_files() if file.is_relative_to(ROOT / "tests")]
    assert {where(file): found for file in own if (found := long_numbers(file.read_text(encoding="utf-8")))} == {}


def test_long_numbers_are_seen() -> None:
    assert long_numbers("a = 1.2345678" + "90123\nb = 273.15\nc = 2.5e-12\n") == ["1.2345678" + "90123"]


def test_files_are_named_for_what_they_answer() -> None:
    own = (file.relative_to(ROOT) for file in python_files())
    assert [
        str(file) for file in own if VAGUE & {part for name in file.parts for part in re.split(r"[._]", name)}
    ] == []


def test_nothing_is_left_unfinished() -> None:
    marks = [
        where(file, number)
        for file in python_files()
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1)
        if UNFINISHED.search(line)
    ]
    assert marks == []
