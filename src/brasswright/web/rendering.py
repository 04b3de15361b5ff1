"""From a page's context to HTML: one strict template environment, and only what the context's fields say."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Protocol

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.responses import HTMLResponse

if TYPE_CHECKING:
    from dataclasses import Field

__all__ = ["STATIC", "TEMPLATES", "PageContext", "environment", "html", "page"]

HERE = Path(__file__).resolve().parent
TEMPLATES = HERE / "templates"
STATIC = HERE / "static"


class PageContext(Protocol):
    """A frozen dataclass that names its template; its fields are all a template may use."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]
    template: ClassVar[str]


def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


environment = _environment()


def html(context: PageContext) -> str:
    """Fill a page's template with the fields of its context, and nothing else."""
    named = {field.name: getattr(context, field.name) for field in fields(context)}
    return environment.get_template(context.template).render(named)


def page(context: PageContext, status: int = 200) -> HTMLResponse:
    """Answer with a page."""
    return HTMLResponse(html(context), status_code=status)
