"""What is written from templates: pages and Markdown, in which everything but Markdown is escaped."""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from buckle.report.notation.mathml import mathml
from buckle.report.notation.units import unit_text


def rendered(template: str, content: Mapping[str, Any]) -> str:
    """Return a template filled in; a name that the content lacks is a bug and raises."""
    return _environment().get_template(template).render(content)


def part(name: str) -> str:
    """Return a file that lies beside the templates as it is written, with no sign in it that a template would read."""
    return (files("buckle.report") / "templates" / name).read_text(encoding="utf-8")


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("buckle.report"),
        autoescape=lambda name: name is not None and name.endswith(".html.j2"),
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )
    made.filters |= {
        "math": lambda clause: Markup(mathml(clause)),
        "letter": lambda symbol: Markup(mathml(symbol, inline=True)),
        "unit": unit_text,
        "cell": lambda text: " ".join(text.replace("|", "\\|").split()),
    }
    return made
