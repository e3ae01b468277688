"""The JSON Schema (2020-12) of the nested record of a taxon, with the vocabularies of this dataset in it."""

from __future__ import annotations

from typing import Any

from sporeproof.form.load import Form
from sporeproof.release.nested import SCHEMA

Schema = dict[str, Any]

DIALECT = "https://json-schema.org/draft/2020-12/schema"
TEXT: Schema = {"type": "string"}
WHOLE: Schema = {"type": "integer"}
NUMBER: Schema = {"type": "number"}
FLAG: Schema = {"type": "boolean"}


def taxon_schema(form: Form) -> Schema:
    """Return the schema of ``json/taxa/<id>.json``: every key is required, so that none can be missing unseen."""
    id, stage = _id(form), _words(form, "stages")
    return {
        "$schema": DIALECT,
        "title": "A taxon of the checklist",
        "description": "A verdict is never shown without the rest of `edibility`, nor a proof without `not_excluded`.",
        **_object(
            schema={"const": SCHEMA},
            release=TEXT,
            id=id,
            name=TEXT,
            authorship=_or_nothing(TEXT),
            rank=_words(form, "ranks"),
            family=_or_nothing(TEXT),
            region=_or_nothing(TEXT),
            vernacular=_list(_object(language=TEXT, name=TEXT, preferred=FLAG)),
            review=_object(**_term(form, "review-states"), reviewed=FLAG, on=_or_nothing(TEXT)),
            edibility=_edibility(form, id),
            proof=_list(_proof(form, id)),
            names=_list(_name(form)),
            characters=_list(_object(**_titled(form), stage=stage, states=_list(TEXT), source_ids=_list(TEXT))),
            measurements=_list(_object(**_titled(form), stage=stage, **_range(), source_ids=_list(TEXT))),
            settings=_list(_setting(form)),
            seasons=_list(_object(region=TEXT, month=_between(1, 12), peak=FLAG, source_ids=_list(TEXT))),
            uses=_list(_object(**_term(form, "uses"))),
            protections=_list(_protection(form)),
            safety_note=TEXT,
        ),
    }


def taxa_schema() -> Schema:
    """Return the schema of ``json/taxa.json``: all taxa, the ids that have ended, and whence the version comes."""
    ended = _object(was=TEXT, merged=FLAG, successors=_list(TEXT), since=TEXT, reason=TEXT)
    words = dict.fromkeys(("title", "part", "kind", "proof", "seen_by"), TEXT)
    cited = {"kind": TEXT, "citation": TEXT, "year": _or_nothing(WHOLE)}
    cited |= dict.fromkeys(("doi", "isbn", "url"), _or_nothing(TEXT))
    return {
        "$schema": DIALECT,
        "title": "All taxa of the checklist",
        **_object(
            schema={"const": SCHEMA},
            safety_note=TEXT,
            provenance={"type": "object"},
            licence={"type": "object"},
            taxa=_list({"$ref": "taxon.schema.json"}),
            retired=_map(ended),
            catalogue=_map(_object(**words, unit=_or_nothing(TEXT), states=_map(TEXT))),
            sources=_map(_object(**cited)),
        ),
    }


def _edibility(form: Form, id: Schema) -> Schema:
    return _object(
        verdict=_object(**_term(form, "verdicts")),
        severity=_or_nothing(_words(form, "severities")),
        evidence=_object(**_term(form, "evidence")),
        verdict_source_ids=_list(TEXT),
        needs=_list(_object(**_term(form, "needs"))),
        cautions=_list(_object(**_term(form, "cautions"))),
        accept_only=_list(_object(**_titled(form), states=_or_nothing(_list(TEXT)), **_range(nothing=True))),
        confusions=_list(_confusion(form, id)),
        answered=_list(_object(**{"with": _other(form, id)}, because=_or_nothing(TEXT), source_ids=_list(TEXT))),
        syndromes=_list(_object(**_term(form, "syndromes"), onsets=_list(_onset(form)))),
        opinions=_list(_object(source_id=TEXT, verdict=_words(form, "verdicts"))),
        grade=_or_nothing(_object(**_term(form, "grades"))),
        grade_reason=_or_nothing(TEXT),
        review_state=_words(form, "review-states"),
    )


def _confusion(form: Form, id: Schema) -> Schema:
    characters = _list({"enum": list(form.characters)})
    return _object(
        **{"with": _other(form, id)},
        told_from=id,
        listed=_words(form, "listings"),
        note=_or_nothing(TEXT),
        required=_or_nothing(WHOLE),
        separators=_or_nothing(WHOLE),
        similarity=_or_nothing(_between(0, 1, kind="number")),
        hints=_list(TEXT),
        source_ids=_list(TEXT),
        claimed=characters,
        separates=_object(**dict.fromkeys(form.vocabularies["separations"], characters)),
    )


def _proof(form: Form, id: Schema) -> Schema:
    item = _object(**_titled(form), position=WHOLE, accept=_list(TEXT), read_when=_list(TEXT), rules_out=WHOLE)
    left = _object(**{"with": _other(form, id)}, required=WHOLE, separators=WHOLE)
    return _object(level=_object(**_term(form, "levels")), items=_list(item), not_excluded=_list(left))


def _name(form: Form) -> Schema:
    return _object(
        name=TEXT,
        authorship=_or_nothing(TEXT),
        role=_words(form, "name-roles"),
        checked_against=_or_nothing(TEXT),
        checked_on=_or_nothing(TEXT),
        obtained=_or_nothing(_words(form, "obtained")),
        outcome=_or_nothing(_words(form, "outcomes")),
    )


def _setting(form: Form) -> Schema:
    return _object(
        kind=_words(form, "setting-kinds"),
        value=TEXT,
        strength=_or_nothing(_words(form, "host-strengths")),
        source_ids=_list(TEXT),
    )


def _protection(form: Form) -> Schema:
    return _object(
        instrument=TEXT,
        name_as_listed=TEXT,
        territory=_words(form, "territories"),
        section=_or_nothing(TEXT),
        acts=_list(_words(form, "acts")),
        since=_or_nothing(TEXT),
        source_id=TEXT,
        checked_on=_or_nothing(TEXT),
    )


def _onset(form: Form) -> Schema:
    hours = _or_nothing(NUMBER)
    return _object(source_id=TEXT, phase=_words(form, "phases"), low_h=hours, high_h=hours)


def _other(form: Form, id: Schema) -> Schema:
    return _object(id=id, name=TEXT, verdict=_words(form, "verdicts"), review_state=_words(form, "review-states"))


def _term(form: Form, vocabulary: str) -> dict[str, Schema]:
    return {"id": _words(form, vocabulary), "title": TEXT, "definition": TEXT}


def _titled(form: Form) -> dict[str, Schema]:
    return {"character_id": {"enum": [*form.characters, *_beside(form)]}, "title": TEXT}


def _beside(form: Form) -> list[str]:
    """Return what may be accepted of a specimen beside its characters: its stage."""
    return ["stage"] if "stage" not in form.characters else []


def _range(*, nothing: bool = False) -> dict[str, Schema]:
    number, text = (_or_nothing(NUMBER), _or_nothing(TEXT)) if nothing else (NUMBER, TEXT)
    return {"low": number, "high": number, "unit": text}


def _id(form: Form) -> Schema:
    (field,) = (each for each in form.tables["taxa"]["fields"] if each["name"] == "taxon_id")
    return {"type": "string", "pattern": field["constraints"]["pattern"]}


def _words(form: Form, vocabulary: str) -> Schema:
    return {"enum": list(form.vocabularies[vocabulary])}


def _object(**keys: Schema) -> Schema:
    return {"type": "object", "properties": keys, "required": list(keys), "additionalProperties": False}


def _map(values: Schema) -> Schema:
    return {"type": "object", "additionalProperties": values}


def _list(items: Schema) -> Schema:
    return {"type": "array", "items": items}


def _or_nothing(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


def _between(least: float, most: float, kind: str = "integer") -> Schema:
    return {"type": kind, "minimum": least, "maximum": most}
