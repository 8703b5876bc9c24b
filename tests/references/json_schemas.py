"""Holds JSON documents against JSON Schemas with a general library.

On standard input `{"schemas": {NAME: schema}, "documents": [[NAME, label, document]]}`; on standard output
`{"wrong": [...], "documents": {NAME: how many}, "blind": [...]}`. `wrong` says where a document is not as its
schema has it. `blind` names what a schema does not notice: for the first document of each, every object of it
is given a key that nobody knows, and loses each of its keys in turn; an object that loses one is counted as
noticed where the schema says that the key is always there.
"""

import copy
import json
import sys

from jsonschema import Draft202012Validator

given = json.load(sys.stdin)
validators = {}
for name, schema in given["schemas"].items():
    Draft202012Validator.check_schema(schema)
    validators[name] = Draft202012Validator(schema)

wrong, counts, blind = [], {}, []


def objects(value, path=()):
    """The paths of all objects within a value."""
    if isinstance(value, dict):
        yield path
        for key, inner in value.items():
            yield from objects(inner, path + (key,))
    elif isinstance(value, list):
        for at, inner in enumerate(value[:3]):
            yield from objects(inner, path + (at,))


def changed(document, path, change):
    document = copy.deepcopy(document)
    at = document
    for step in path:
        at = at[step]
    change(at)
    return document


for name, label, document in given["documents"]:
    validator = validators[name]
    for error in list(validator.iter_errors(document))[:5]:
        where = "/".join(str(step) for step in error.absolute_path)
        wrong.append(f"{label} ({name}) at {where}: {error.message[:300]}")
    if name not in counts:
        for path in list(objects(document))[:200]:
            surplus = changed(document, path, lambda at: at.update({"surplus": 1}))
            if validator.is_valid(surplus):
                blind.append(f"{name}: a key more at {'/'.join(map(str, path))}")
        if isinstance(document, dict):
            for key in validator.schema["required"]:
                if validator.is_valid({k: v for k, v in document.items() if k != key}):
                    blind.append(f"{name}: {key} is gone")
    counts[name] = counts.get(name, 0) + 1

json.dump({"wrong": wrong, "documents": counts, "blind": blind}, sys.stdout)
