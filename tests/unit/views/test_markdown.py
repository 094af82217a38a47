"""Words of files on the gallery's page stand for themselves. Rules: CommonMark 0.31.2, sections 2.4 and 6."""

import html
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.views.markdown import code, image, marked, plain, title

RAW = "<script>alert(1)</script> ![x](http://a/b.png) [l](u) `c` *e* _e_ N*mm a_b & &lt; # h"


def read(text: str) -> str:
    """What a page shows of escaped text: a backslash takes the meaning of the mark after it."""
    assert not re.search(r"(?<!\\)(?:\\\\)*[`*\[\]~|$]", text) and not re.search(r"[<>]", text)
    return html.unescape(re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", text))


@given(
    st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S", "Zs")), max_size=60) | st.just(RAW)
)
def test_text_comes_back_as_it_is_and_means_nothing(text: str) -> None:
    assert read(plain(text)) == text.strip()
    assert read(title(f"{text}\n# a")) == " ".join(f"{text}\n# a".split())


@pytest.mark.parametrize(
    ("text", "page"),
    [
        ("# no head", r"\# no head"),
        ("two\n- no item\n+ no item\n3. no item", "two\n\\- no item\n\\+ no item\n3\\. no item"),
        ("two\n=====", "two\n\\====="),
        ("    no code\n\nnext", "no code\n\nnext"),
        ("> no quote", "&gt; no quote"),
        ("0.15 m/s, a_b and _c", r"0.15 m/s, a_b and \_c"),
    ],
)
def test_lines_begin_nothing(text: str, page: str) -> None:
    assert plain(text) == page


def test_heads_of_a_paragraph_stay() -> None:
    assert marked("**Also on** 5 <b> of N*mm") == r"**Also on** 5 &lt;b&gt; of N\*mm"


def test_code_and_pictures() -> None:
    assert code("simcore run a.toml") == "`simcore run a.toml`"
    assert code("simcore run a`b.toml") == "`` simcore run a`b.toml ``"
    assert image("a ](b) <c>", "my (1) file.png") == r"![a \](b) &lt;c&gt;](my%20%281%29%20file.png)"
