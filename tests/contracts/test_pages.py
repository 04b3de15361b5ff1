"""What templates may say: the fields of their page's context and nothing more, no arithmetic, a small part of htmx."""

from __future__ import annotations

import dataclasses
import importlib
import pkgutil
import re
from typing import TYPE_CHECKING, Any

import pytest
from jinja2 import nodes
from jinja2.meta import find_referenced_templates, find_undeclared_variables

import brasswright.web.pages
from brasswright.web import app
from brasswright.web.rendering import STATIC, TEMPLATES, environment

if TYPE_CHECKING:
    from collections.abc import Iterator

HTMX = {"hx-get", "hx-post", "hx-target", "hx-select", "hx-swap"}
"""All of htmx that these pages use."""
SHARED = {"base.html", "kit.html"}


def modules() -> Iterator[Any]:
    """The page modules, and the application with its own page."""
    yield app
    for found in pkgutil.iter_modules(brasswright.web.pages.__path__):
        yield importlib.import_module(f"brasswright.web.pages.{found.name}")


def contexts() -> dict[str, type[Any]]:
    """Every page's context by its template."""
    return {
        thing.template: thing
        for module in modules()
        for thing in vars(module).values()
        if dataclasses.is_dataclass(thing)
        and isinstance(thing, type)
        and hasattr(thing, "template")
        and thing.__module__ == module.__name__
    }


CONTEXTS = contexts()
TEMPLATE_NAMES = sorted(path.name for path in TEMPLATES.glob("*.html"))


def source(name: str) -> str:
    """A template's text."""
    return (TEMPLATES / name).read_text(encoding="utf-8")


def used(name: str) -> set[str]:
    """The variables a template takes from its context, those of its base included."""
    tree = environment.parse(source(name))
    found = set(find_undeclared_variables(tree)) - {macro.name for macro in tree.find_all(nodes.Macro)}
    for other in find_referenced_templates(tree):
        if other is not None and other != "kit.html":
            found |= used(other)
    return found - {"kit"}


def test_every_template_belongs_to_one_page() -> None:
    assert set(TEMPLATE_NAMES) - SHARED == set(CONTEXTS)


@pytest.mark.parametrize("name", sorted(CONTEXTS))
def test_a_template_uses_its_context_and_nothing_else(name: str) -> None:
    fields = {field.name for field in dataclasses.fields(CONTEXTS[name])}
    assert used(name) == fields


@pytest.mark.parametrize("name", sorted(CONTEXTS))
def test_a_context_is_frozen_and_documented(name: str) -> None:
    context = CONTEXTS[name]
    assert context.__dataclass_params__.frozen
    assert context.__doc__
    assert context.__name__.endswith("Page")


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_templates_hold_no_arithmetic(name: str) -> None:
    tree = environment.parse(source(name))
    sums = (nodes.Add, nodes.Sub, nodes.Mul, nodes.Div, nodes.FloorDiv, nodes.Mod, nodes.Pow, nodes.Neg)
    assert [node.lineno for node in tree.find_all(sums)] == []
    assert [node.lineno for node in tree.find_all(nodes.Filter) if node.name in {"round", "sum", "int", "float"}] == []


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_htmx_is_used_sparingly_and_each_element_names_its_target(name: str) -> None:
    text = re.sub(r"\{% macro live\(\) %\}(.*?)\{% endmacro %\}", "", source(name), flags=re.DOTALL)
    live = re.search(r"\{% macro live\(\) %\}(.*?)\{% endmacro %\}", source(name), flags=re.DOTALL)
    text = text.replace("{{ live() }}", live[1] if live else "")
    for tag in re.findall(r"<[a-z][^<>]*\bhx-[^<>]*>", text):
        attributes = set(re.findall(r"\b(hx-[a-z:-]+)=", tag))
        assert attributes <= HTMX
        assert {"hx-target", "hx-swap"} <= attributes
        assert len(attributes & {"hx-get", "hx-post"}) == 1


@pytest.mark.parametrize("name", TEMPLATE_NAMES)
def test_nothing_inline_and_every_form_works_alone(name: str) -> None:
    text = source(name)
    assert re.findall(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|javascript:|\bhx-on", text) == []
    assert re.findall(r"(?:src|href)=\"(?:https?:)?//", text) == []
    for form in re.findall(r"<form[^>]*>", text):
        assert "method=" in form
        assert "action=" in form
    assert "| safe" not in text
    assert "autoescape false" not in text


def test_stylesheets_and_scripts_of_the_base_are_there() -> None:
    named = re.findall(r"\"/static/([^\"]+)\"", source("base.html"))
    assert len(named) >= 4
    assert [name for name in named if not (STATIC / name).is_file()] == []


def test_post_handlers_answer_and_pages_only_read() -> None:
    for router in brasswright.web.pages.ROUTERS:
        for route in router.routes:
            methods: set[str] = getattr(route, "methods", set())
            assert methods <= {"GET", "HEAD"} or methods == {"POST"}
