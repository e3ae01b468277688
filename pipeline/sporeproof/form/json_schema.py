"""Generates ``schema/entry.schema.json`` (JSON Schema 2020-12), for editors that complete and underline."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

from sporeproof.form.catalogue import Character
from sporeproof.form.load import Form
from sporeproof.form.shapes import Shape

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]


def entry_schema(form: Form) -> str:
    """Return the text of the generated file, keys in the order of the schema's own files."""
    schema = {
        "$schema": DIALECT,
        "title": "An entry of the checklist",
        "description": "Generated from entry.yaml, characters.yaml and vocabularies/; do not edit.",
        **_of(form.entry, form),
    }
    schema["properties"]["characters"] = _values(form)
    schema["properties"]["edibility"]["properties"]["accept_only"] = _accepted(form)
    schema["$defs"] = _definitions(form)
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _of(shape: Shape, form: Form) -> Schema:
    schema = KINDS[shape.kind](shape, form)
    return {"description": shape.says, **schema} if shape.says else schema


def _text(shape: Shape, form: Form) -> Schema:
    if shape.vocabulary:
        return _enum(form.vocabularies[shape.vocabulary])
    if shape.pattern:
        return {"type": "string", "pattern": f"^(?:{shape.pattern})$"}
    return {"type": "string", "minLength": 1}


def _enum(words: Any) -> Schema:
    return {"enum": list(words)}


def _keys(shape: Shape, form: Form) -> Schema:
    return {
        "type": "object",
        "properties": {key: _of(below, form) for key, below in shape.keys.items()},
        "required": [key for key, below in shape.keys.items() if below.required],
        "additionalProperties": False,
    }


def _each(shape: Shape, form: Form) -> Schema:
    assert shape.of is not None
    schema: Schema = {"type": "object", "additionalProperties": _of(shape.of, form)}
    if shape.key_vocabulary:
        schema["propertyNames"] = _enum(form.vocabularies[shape.key_vocabulary])
    elif shape.key_pattern:
        schema["propertyNames"] = {"pattern": f"^(?:{shape.key_pattern})$"}
    return schema


def _list(shape: Shape, form: Form) -> Schema:
    assert shape.of is not None
    return {"type": "array", "items": _of(shape.of, form)}


def _either(shape: Shape, form: Form) -> Schema:
    return {"anyOf": [_of(option, form) for option in shape.options]}


def _sources(shape: Shape, form: Form) -> Schema:
    return _ref("sources")


def _sources_in_full(shape: Shape, form: Form) -> Schema:
    one = {"anyOf": [{"type": "string"}, _of(shape.recall, form)]}
    return {"anyOf": [*one["anyOf"], {"type": "array", "items": one}]}


KINDS: dict[str, Callable[[Shape, Form], Schema]] = {
    "text": _text,
    "whole": lambda shape, form: {"type": "integer"},
    "number": lambda shape, form: {"type": "number"},
    # YAML reads a plain date as a date; editors see its text.
    "date": lambda shape, form: {"type": "string", "format": "date"},
    "list": _list,
    "keys": _keys,
    "each": _each,
    "either": _either,
    "sources": _sources,
    "value": lambda shape, form: {},
    "accepted": lambda shape, form: {},
}


def _values(form: Form) -> Schema:
    properties = {id: _value(each, form) for id, each in form.characters.items()}
    return _block(form, properties, "characters")


def _accepted(form: Form) -> Schema:
    stages = {"stage": _one_or_many(_enum(form.stages))}
    return _block(form, stages | {id: _ref(id) for id in form.characters}, "edibility", "accept_only")


def _block(form: Form, properties: Schema, *path: str) -> Schema:
    shape = form.entry
    for step in path:
        shape = shape.keys[step]
    return {
        "description": shape.says,
        "type": "object",
        "properties": properties,
        "additionalProperties": False,
    }


def _definitions(form: Form) -> Schema:
    """States or a range of each character, by stage too; referred to from wherever a value may stand."""
    definitions = {"sources": _sources_in_full(form.entry, form)}
    for id, character in form.characters.items():
        definitions[id] = _plain(character)
        stages = {stage: _ref(id) for stage in form.stages}
        by_stage = {"type": "object", "properties": stages, "additionalProperties": False}
        definitions[f"{id}.by-stage"] = {"anyOf": [_ref(id), by_stage]}
    return definitions


def _ref(name: str) -> Schema:
    return {"$ref": f"#/$defs/{name}"}


def _value(character: Character, form: Form) -> Schema:
    unsourced = _ref(f"{character.id}.by-stage")
    sourced = {
        "type": "object",
        "properties": {"is": unsourced, "source": _sources(form.entry, form)},
        "required": ["is", "source"],
        "additionalProperties": False,
    }
    return {"description": character.title, "anyOf": [unsourced, sourced]}


def _plain(character: Character) -> Schema:
    if character.is_measured:
        return {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}
    return _one_or_many(_enum(character.states))


def _one_or_many(one: Schema) -> Schema:
    return {"anyOf": [one, {"type": "array", "items": one, "minItems": 1, "uniqueItems": True}]}
