"""What a brief, a workshop and the maker's materials may hold, as JSON Schema: for editors.

An editor that knows it offers keys as they are typed and marks a slip at once. It says less than
reading does: names, units and what figures mean together are looked at when a bench is opened.
"""

from collections.abc import Iterable, Mapping
from enum import StrEnum

from ..model.material import Form, Phase
from ..model.purpose import Purpose
from ..model.rule import Kind
from ..rules.registry import kinds
from ..rules.written import Holds, Written
from .box_reading import MONTHS, TEXTS
from .brief_reading import PRODUCT, SCHEMA
from .workshop_reading import WORKSHOP

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, object]

_TEXT: Schema = {"type": "string"}
_COUNT: Schema = {"type": "integer", "minimum": 0}
_TEXTS: Schema = {"type": "array", "items": _TEXT}
_YES: Schema = {"type": "boolean"}
_FIGURE: Schema = {"type": ["string", "number"]}
_SPAN: Schema = {"anyOf": [_FIGURE, {"type": "array", "items": _FIGURE, "maxItems": 3}]}
_REASONS: Schema = {"type": "object", "additionalProperties": _TEXT}


class File(StrEnum):
    """A file of a bench that there is a schema of."""

    BRIEF = "brief"
    MATERIALS = "materials"
    WORKSHOP = "workshop"


def schema_of(file: File) -> Schema:
    """The JSON Schema of a file, as a document of its own.

    A workshop is a brief of which nothing is demanded: it holds what briefs below it share.
    """
    body = _materials() if file is File.MATERIALS else _brief(whole=file is File.BRIEF)
    return {"$schema": DIALECT, "title": f"barwright {file}", **body}


def _table(properties: Mapping[str, Schema], needed: Iterable[str] = ()) -> Schema:
    """A table with these keys and no others."""
    made: Schema = {
        "type": "object",
        "properties": dict(properties),
        "additionalProperties": False,
    }
    return {**made, "required": list(needed)} if needed else made


def _named(entry: Schema) -> Schema:
    """A table of which the keys are names of the maker's own."""
    return {"type": "object", "additionalProperties": entry}


def _one_of(words: type[StrEnum]) -> Schema:
    return {"enum": [word.value for word in words]}


def _brief(*, whole: bool) -> Schema:
    sections: dict[str, Schema] = {
        "schema": {"const": SCHEMA},
        "like": _TEXT,
        "drop": _TEXTS,
        "product": _table({key: _PRODUCT_KINDS.get(key, _FIGURE) for key in PRODUCT}),
        "box": _table(
            {**dict.fromkeys((*TEXTS, *MONTHS), _TEXT), "words": _TEXTS},
        ),
        "purposes": _named(_one_of(Purpose)),
        "rates": _named(_TEXT),
        "workshop": _table(dict.fromkeys(("room", *WORKSHOP), _FIGURE)),
        "balances": _named(_table(dict.fromkeys(("step", "capacity", "least", "cup"), _FIGURE))),
        "suppliers": _named(_table(dict.fromkeys(("shipping", "free_from", "delivery"), _FIGURE))),
        "packaging": _named(_table({"pack": _COUNT, "price": _FIGURE, "each": _COUNT})),
        "rules": _named({"anyOf": [*map(_rule, kinds()), _changed()]}),
    }
    return _table(sections, ("schema",) if whole else ())


_PRODUCT_KINDS: Mapping[str, Schema] = {
    "name": _TEXT,
    "currency": {"type": "string", "pattern": "^[A-Z]{3}$"},
    "markets": _TEXTS,
    "declared_when": {"enum": ["sold", "packed"]},
    "washes": {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
    "spread_from": _COUNT,
    "advice": _YES,
}

_COMMON: Mapping[str, Schema] = {
    "kind": _one_of(Kind),
    "because": _TEXT,
    "source": _TEXT,
    "holds": _one_of(Holds),
}


def _rule(written: Written) -> Schema:
    """A rule of a kind: its first line says which, and what else it takes."""
    keys = dict.fromkeys((written.key, *written.keys), _ANY)
    made = _table({**keys, **_COMMON}, (written.key, "kind", "because"))
    return {"title": written.example, "description": written.says, **made}


def _changed() -> Schema:
    """What a brief that is like another changes in a rule of it: no first line, any key of any."""
    leading = {written.key for written in kinds()}
    keys = {key for written in kinds() for key in written.keys} - leading
    return {
        "title": "a change to a rule of the brief that this is like",
        **_table({**dict.fromkeys(sorted(keys), _ANY), **_COMMON}),
    }


_ANY: Schema = {"type": ["string", "number", "integer", "array", "object", "boolean"]}


def _materials() -> Schema:
    substances = _named(_table(_SUBSTANCE | _ABOUT))
    return {
        "type": "object",
        "properties": {"substances": substances},
        "additionalProperties": _table(_MATERIAL | _ABOUT),
    }


_ABOUT: dict[str, Schema] = {"source": _TEXT, "kind": _TEXT, "date": {}, "note": _TEXT}
_OPEN: Schema = {"type": "object"}
_READING: Schema = _table({"ph": _SPAN, "at": _FIGURE, **_ABOUT}, ("ph", "at"))

_SUBSTANCE: dict[str, Schema] = {
    "classes": _TEXTS,
    "cas": _TEXTS,
    "molar_mass": _FIGURE,
    "ionisation": _OPEN,
    "buffer": _FIGURE,
    "neutral_ph": _FIGURE,
    "colour_index": _TEXT,
}

_MATERIAL: dict[str, Schema] = {
    "like": _TEXT,
    "form": _one_of(Form),
    "phase": _one_of(Phase),
    "classes": _TEXTS,
    "tags": _TEXTS,
    "contents": _named(_SPAN),
    "carried": _REASONS,
    "dose": _SPAN,
    "add_below": _FIGURE,
    "alkalinity": _SPAN,
    "buffer": _FIGURE,
    "works_below_ph": _FIGURE,
    "density": _FIGURE,
    "heat": _OPEN,
    "hazards": _TEXTS,
    "reads": _READING,
    "keeps_above_ph": _FIGURE,
    "keeps_below_ph": _FIGURE,
    "not_with": _REASONS,
    "wary_of": _REASONS,
    "also": _TEXTS,
    "chains": _OPEN,
    "dissolves": _FIGURE,
    "strength": _FIGURE,
    "goes_in_with": _TEXT,
    "learnt": _OPEN,
    "sources": _OPEN,
}
"""The keys of a material; a test holds them to what reading takes."""
