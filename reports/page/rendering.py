"""Pages made from templates, in the language of whom they are for."""

from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from reports import words
from reports.language import current, say, say_in, say_many, spoken

TEMPLATES = Path(__file__).with_name("templates")
STATIC = Path(__file__).with_name("static")


def render(template: str, language: str, **values: object) -> str:
    """The page of a template, such as `shelf.html`. A template that names what it is not given fails."""
    with spoken(language):
        return environment().get_template(template).render(values)


@cache
def environment() -> Environment:
    """Whatever is put into a page is escaped; a page loads nothing from anywhere but the station."""
    made = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        auto_reload=False,  # an update puts new templates under a page that still runs the old code
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals.update(say=say, say_in=say_in, say_many=say_many, language=current)
    made.filters.update(
        clean=words.clean, held=words.with_units_held, capital=words.capital, begun=words.begun
    )
    return made
