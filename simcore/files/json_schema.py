"""The files as JSON Schema (draft 2020-12): editors complete keys by it, show their meaning, check values."""

import json
from collections.abc import Mapping
from typing import Any

from pydantic.fields import FieldInfo
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from simcore.errors import InputError, InputIssue
from simcore.files.check import wanted
from simcore.files.dots import Dots
from simcore.files.rig import Rig
from simcore.files.scenario import Scenario
from simcore.files.schema import Model, fields, hints, plain
from simcore.files.words import nearest
from simcore.files.worksheet import Worksheet
from simcore.units import show

KINDS: Mapping[str, Model] = {"rig": Rig, "scenario": Scenario, "worksheet": Worksheet, "dots": Dots}
"""The kinds of files and the models that check them."""
ID = "urn:simcore:"
"""What the identifiers of all these schemas begin with."""


def json_schema(kind: str) -> dict[str, Any]:
    """Give the JSON Schema of a kind of file.

    It sees every value by itself. What does not go together, a text whose unit does not fit and the settings
    of variants are seen only when the file is read.

    Parameters
    ----------
    kind : str
        One of `KINDS`.

    Raises
    ------
    InputError
        If there is no such kind.
    """
    if kind not in KINDS:
        issue = InputIssue("schema", "", show(kind), f"one of {', '.join(KINDS)}", nearest(kind, KINDS))
        raise InputError([issue])
    form = KINDS[kind].model_json_schema(by_alias=True, schema_generator=_OfFiles)
    stated = form["properties"]
    version = next((stated[key]["const"] for key in ("schema", kind) if "const" in stated.get(key, {})), 1)
    head = {
        "$schema": GenerateJsonSchema.schema_dialect,
        "$id": f"{ID}{kind}:{version}",
        "title": f"simcore {kind} file",
    }
    return head | {key: value for key, value in form.items() if key not in head}


def json_schema_text(kind: str) -> str:
    """Give the JSON Schema of a kind of file as text; raises as `json_schema`."""
    return json.dumps(json_schema(kind), indent=1, ensure_ascii=False) + "\n"


class _OfFiles(GenerateJsonSchema):
    """Writes the schema of what stands in a file: TOML knows no null, a key that has no value is left out."""

    def nullable_schema(self, schema: core_schema.NullableSchema) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        if schema.get("default", ...) is None:
            return self.generate_inner(schema["schema"])
        return super().default_schema(schema)

    def field_title_should_be_set(self, schema: Any) -> bool:
        return False  # keys are their own titles

    def model_schema(self, schema: core_schema.ModelSchema) -> JsonSchemaValue:
        form = super().model_schema(schema)
        model: Model = schema["cls"]
        for key, below in form["properties"].items():
            below["description"] = _described(fields(model)[key], hints(model)[key])
        return form


def _described(field: FieldInfo, hint: Any) -> str:
    """Give the meaning of a key and what it wants, where its type in JSON does not say that."""
    text = " ".join((field.description or "").split())
    words, quantity = wanted(hint), plain(hint)[1]
    if quantity is None and "[" not in words:
        return text
    also = ", or text with a unit" if quantity is not None and quantity.unit != "1" else ""
    return f"{text} {words[0].upper()}{words[1:]}{also}."
