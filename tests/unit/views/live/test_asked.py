"""What a page may ask of the bench: known orders with values that a file could hold, and nothing else."""

import json

import pytest

from simcore.views.live.asked import First, NotUnderstood, SaveVariant, Second, understood


def test_a_change_is_the_shortest_message() -> None:
    asked = understood(
        '{"n": 3, "case": "base", "set": {"ground.slope": 20, "rig": "a.toml", "x": true, "y": 1.5}}'
    )
    assert isinstance(asked, First)
    assert (asked.n, asked.case) == (3, "base")
    assert asked.set == {"ground.slope": 20, "rig": "a.toml", "x": True, "y": 1.5}
    assert [type(value) for value in asked.set.values()] == [int, str, bool, float]


def test_other_orders_say_what_to_do() -> None:
    second = understood('{"do": "second", "n": 3, "film": true}')
    assert isinstance(second, Second)
    assert second.film
    saving = understood('{"do": "save_variant", "name": "softer", "set": {}, "case": ""}')
    assert isinstance(saving, SaveVariant)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "no JSON"),
        ("{", "no JSON"),
        (b"\xff\xfe", "no JSON"),
        ("[" * 100_000, "no JSON"),
        ('{"n": NaN}', "NaN is no number"),
        ('{"n": 1, "set": {"a": Infinity}}', "Infinity is no number"),
        ("[]", "a table"),
        ("3", "a table"),
        ("{}", "n: Field required"),
        ('{"n": "1"}', "n: Input should be a valid integer"),
        ('{"n": 1, "do": "erase"}', "erase"),
        ('{"n": 1, "do": 7}', "do"),
        ('{"n": 1, "path": "/etc/passwd"}', "path: Extra inputs"),
        ('{"n": 1, "set": []}', "set: Input should be a valid dictionary"),
        ('{"n": 1, "set": {"a": [1]}}', "set.a"),
        ('{"n": 1, "set": {"a": null}}', "set.a"),
        ('{"n": 1, "set": {"": 1}}', "at least 1 character"),
        (json.dumps({"n": 1, "set": {str(k): k for k in range(500)}}), "at most 400"),
        (json.dumps({"n": 1, "set": {"a": "x" * 501}}), "at most 500"),
        ('{"do": "save_variant", "name": ""}', "name"),
    ],
)
def test_anything_else_is_refused_with_what_is_wrong(text: str | bytes, says: str) -> None:
    with pytest.raises(NotUnderstood) as refusal:
        understood(text)
    assert says in str(refusal.value)
    assert "\n" not in str(refusal.value)
