"""What is shipped beside these modules for pages: templates, styles and scripts."""

from functools import cache
from importlib.resources import files

import jinja2
from markupsafe import Markup

HERE = "simcore.views.page"


@cache
def text(name: str) -> str:
    """A style or a script, as it stands in its file."""
    return files(HERE).joinpath(name).read_text(encoding="utf-8")


@cache
def _templates() -> jinja2.Environment:
    """All templates; whatever is put into one is text, and a name that nobody gave is a fault."""
    found = jinja2.Environment(
        loader=jinja2.PackageLoader(HERE),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )
    found.filters["in_element"] = _in_element
    found.filters["per_cent"] = _per_cent
    found.policies["json.dumps_kwargs"] = {"allow_nan": False, "separators": (",", ":")}
    return found


def template(name: str) -> jinja2.Template:
    """A template by the name of its file."""
    return _templates().get_template(name)


def _in_element(words: str) -> Markup:
    """Text between tags, where quotes are only quotes and stand as they are."""
    return Markup(words.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;"))


def _per_cent(value: float) -> str:
    """A place in per cent, to a fraction of a dot."""
    return f"{round(value, 2) + 0.0:g}%"
