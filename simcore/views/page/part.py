"""A piece of the page, with what it needs of style and script."""

from dataclasses import dataclass

from markupsafe import Markup


@dataclass(frozen=True)
class Part:
    """What one module gives to the page.

    Attributes
    ----------
    html
        Its elements, escaped already.
    style
        CSS for the head of the page.
    script
        Plain JavaScript for the end of the body; it loads nothing.
    """

    html: Markup
    style: str = ""
    script: str = ""
