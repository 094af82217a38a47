"""Writes the reference of every key of the files and their JSON Schemas, from the models that check them."""

import inspect
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from simcore.files.dots import HUES, Dots
from simcore.files.json_schema import KINDS, json_schema_text
from simcore.files.rig import Rig
from simcore.files.schema import Model, default, fields, hints, items, plain, submodel, wording

_INTRO = """\
# Rig and scenario files

Generated from the file models by `python -m simcore.files.reference`; do not edit.

A rig file describes a vehicle, a scenario file asks one question about it, a dots file says what a video of
it shows. All are TOML. A bare number is in the unit named here; text may carry another one, as in
`radius = "2.3 in"` or `rate = "1.4 lb/in"`. Where a force is due, or a rate, a damping or a torque, a weight
is taken too, as scales give it: `"40 g"`, `"2 oz"`,
`"16.6 g/mm"`, `"1.2 kg*cm"` (standard gravity, 9.80665 m/s^2); where a mass is due, a mass.
Positions are `[x, z]`: x forward of the rear axle centre, z above the table, the rig standing at its ride
height on the flat. A key that is not listed here is refused. A file is checked whole: all its issues are
reported at once.

Every shipped file runs: rigs are in `rigs/`, each other file here is a scenario whose title is its question.

## In an editor

The first line of every file here names its JSON Schema, which lies in `schema/`. An editor with a TOML
language server then offers the keys, shows what each of them means with its unit and range, and marks unknown
keys, missing ones and values out of range while you type. For files of your own, write the schemas beside
them, and name the one that is due in the first line, by its path from the file, as in
`#:schema ./schema/scenario.json`:

```sh
simcore schema scenario --out schema/scenario.json
simcore schema rig --out schema/rig.json
```

For `simcore` itself that line is a comment. A schema sees every value by itself: values that contradict
each other, what a text with a unit amounts to, and the settings of variants are checked when the file is
read.
"""

_SETTINGS = """\
## Settings

A setting changes one value: in a variant, in a trial of the conclusion, after `--set` on the command
line, in Python's `changed`. Its path leads through the keys of the rig or of the scenario; a number picks
out of a list, counted from 0, and things that have a name (`parts`) may be picked by it, or by the words
that only its name begins with.

| setting in a file | what it does |
| --- | --- |
| `"rear.shock.springs.0.rate" = 0.08` | puts this value in place of the one there |
| `"parts.battery.mass" = 140` | the same, of a part by name; also `parts[battery].mass` and `parts.0.mass` |
| `"ground.slope +=" = 5` | adds, in the unit of the key; text carries its own, as in `"0.5 in"` |
| `"parts.battery.at[1] -=" = 25` | takes away, here from the second number of the place, z |
| `"rear.upper_link.axle +=" = [0, 4]` | adds to both numbers of a place |
| `"rear.shock.springs.0.rate *=" = 0.8` | multiplies, by a number or by text as in `"120 %"` |
| `"rear.shock.link" = "none"` | takes out a key that may be left out |

On the command line: `--set ground.slope=30`, `--set "ground.slope+=5"`, `--set "parts[battery].mass*=1.1"`. A
key that is left out is changed from its default; one that has none cannot be changed so. Sums are done in
decimals, as on paper.

A variant may build on another one (`from`) and take sets of common settings (`with`, one name or a list). Its
settings are done in this order: those of the variant it builds on, the common ones, its own. If one of them
names another rig, that comes first.

```toml
title = "Does a lower battery help, and stiffer springs too?"
rig = "rigs/gully.toml"

[ground]
slope = 30

[driver]
control = "speed"
speed = [[0, 0], [0.5, 0.15]]

[common."stiffer springs"]
"rear.shock.springs.0.rate *=" = 1.2
"front.shock.springs.0.rate *=" = "120 %"

[variants."battery low"]
"parts.battery.at[1] -=" = 25

[variants."battery low and forward"]
from = "battery low"
"parts.battery.at +=" = ["1 in", 0]

[variants."and stiffer"]
from = "battery low and forward"
with = "stiffer springs"
"front.shock.friction.breakaway" = "20 g"
```
"""

_TRIALS = """\
## Reasons, tried

`[conclusion]` says what the runs have shown, and its `claims` are checked against them. Whether that is
so for the reason that its text names, and elsewhere too, takes further runs, which `simcore gallery`
does. Tables that ask for them, here beside those of the example above:

```toml
[conclusion]
claims = [["battery low and forward", "front_load_mean_N", "above", "as given", 0.07]]
says = "A battery further forward and down keeps load on the front, because of its weight."

[[conclusion.because]]
cause = "the weight of the battery"
settings = { "parts.battery.mass" = 1 }
effect = ["battery low and forward", "front_load_mean_N", "as given"]

[[conclusion.holds_on]]
on = "Fell, a heavy trail rig"
settings = { rig = "rigs/fell.toml" }

[[conclusion.holds_on]]
on = "the level, if the battery is only lowered"
settings = { "ground.slope" = 0 }
claims = [["battery low", "front_load_mean_N", "above", "as given", 0.05]]
holds = false
```

Here the difference between the two cases must go when the battery weighs 1 g; if more than a quarter of
it is left (`left`), it has another cause, and the gallery says so.
"""


_HUES = ", ".join(f"{name} {low:g} to {high:g}" for name, (low, high) in HUES.items())
_DOTS = f"""\
`simcore track VIDEO --dots FILE` follows coloured dots on a rig. `simcore track VIDEO --still 0` draws the
first frame with a scale of its pixels, to read places off. Pixels are [right, down] from the picture's upper
left corner.

```toml
slope = 15             # of the plane that was driven on; or name the scenario: --scenario FILE

[[dots]]
name = "tail"
on = "chassis"
colour = "orange"
at = [80, 150]

[[dots]]
name = "nose"
on = "chassis"
colour = "blue"
at = [270, 150]

[[dots]]
name = "rear hub"
on = "rear"
colour = "green"
at = [0, 59]

[[dots]]
name = "front hub"
on = "front"
hue = [290, 345]
at = [315, 59]

[sheet]                # only where the camera could not be set square
corners = [[612, 402], [905, 410], [899, 618], [610, 604]]

[level]                # a shelf in the background
line = [[20, 95], [1900, 121]]
```

Hues of the named colours, degrees: {_HUES} (common practice, no
source). White, grey and black are no colours.
"""


def reference() -> str:
    """Give the reference as Markdown."""
    parts = [_INTRO, _SETTINGS, _TRIALS]
    for kind, model in KINDS.items():
        parts += [f"## The {kind} file\n", *([_DOTS] if model is Dots else []), *_tables(model)]
    return "\n".join(parts)


def pages() -> dict[str, str]:
    """Give everything that is written here: path below scenarios/ -> text."""
    return {"README.md": reference()} | {f"schema/{kind}.json": json_schema_text(kind) for kind in KINDS}


def _tables(top: Model) -> Iterator[str]:
    """Give the section of a model, then of every model below it, each once."""
    waiting: list[tuple[str, Model]] = [("", top)]
    places: dict[Model, list[str]] = {}
    order: list[Model] = []
    while waiting:
        place, model = waiting.pop(0)
        seen = model in places
        places.setdefault(model, []).append(place)
        if not seen:
            order.append(model)
        below = [(f"{place}.{key}".strip("."), table) for key, table in _below(model)]
        waiting = below + waiting
    for model in order:
        yield _section(places[model], model)


def _below(model: Model) -> Iterator[tuple[str, Model]]:
    for key, hint in hints(model).items():
        kinds = items(hint)
        table = submodel(kinds[0] if kinds else hint)
        if table is not None and table is not Rig:
            yield (f"{key}[]" if kinds else key), table


def _section(places: list[str], model: Model) -> str:
    heading = ", ".join(f"`[{place}]`" if "[]" not in place else f"`{place}`" for place in places if place)
    lines = [f"### {heading}\n"] if heading else []
    lines += [inspect.cleandoc(model.__doc__ or "") + "\n"]
    lines += ["| key | unit | range | default | meaning |", "| --- | --- | --- | --- | --- |"]
    for key, field in fields(model).items():
        unit, span = _unit_and_range(hints(model)[key])
        meaning = " ".join((field.description or "").split()).replace("|", "\\|")
        lines.append(f"| `{key}` | {unit} | {span} | {_default(field)} | {meaning} |")
    return "\n".join(lines) + "\n"


def _unit_and_range(hint: Any) -> tuple[str, str]:
    inner, quantity = plain(hint)
    if quantity is not None:
        span = quantity.range_text()
        return quantity.unit, span if quantity.unit == "1" else span.removesuffix(f" {quantity.unit}")
    if get_origin(inner) is Literal:
        return ("text" if isinstance(get_args(inner)[0], str) else "number"), ", ".join(
            map(json.dumps, get_args(inner))
        )
    if submodel(hint) is not None:
        return "table", ""
    kinds = items(hint)
    if kinds is not None:
        return (wording(hint), "") if wording(hint) else _list(kinds)
    return {str: "text", bool: "true, false"}.get(inner, "tables"), ""


def _list(kinds: tuple[Any, ...]) -> tuple[str, str]:
    if wording(kinds[0]):
        return f"list of {wording(kinds[0])}", ""
    if kinds[-1] is Ellipsis:
        unit, span = _unit_and_range(kinds[0])
        return f"list of {unit}" + ("s" if unit == "table" else ""), span
    each = [_unit_and_range(kind) for kind in kinds]
    units, spans = ([one[i] for one in each] for i in (0, 1))
    return f"[{', '.join(units)}]", spans[0] if len(set(spans)) == 1 else "; ".join(spans)


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "required"
    if field.default_factory is not None and not isinstance(field.default_factory, type):
        return "see there"
    value = default(field, {})
    if value is None:
        return "left out"
    return "its defaults" if value == {} else f"`{json.dumps(value)}`"


if __name__ == "__main__":
    for place, text in pages().items():
        path = Path("scenarios") / place
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
