"""Which settings of the closet file are tables and lists of tables, read from its data model."""

from __future__ import annotations

from typing import Any, get_args, get_origin

from pydantic import BaseModel

from capacity.closet import Closet


def table_in(annotation: Any) -> type[BaseModel] | None:
    """The table that a setting is, or that the entries of its list are; None when it is neither."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := table_in(part)) is not None), None)


def only_tables(data: dict[str, Any]) -> dict[str, Any]:
    """The settings without those that should be a table or a list of tables and are something else.

    What is left can be walked through without looking; whatever stands in single settings is kept, however wrong.
    """
    return _only_tables(Closet, data)


def _only_tables(model: type[BaseModel], table: dict[str, Any]) -> dict[str, Any]:
    fields = {field.alias or name: field for name, field in model.model_fields.items()}
    kept: dict[str, Any] = {}
    for key, value in table.items():
        annotation = fields[key].annotation if key in fields else None
        inner = table_in(annotation)
        if inner is None:
            kept[key] = value
        elif _is_list(annotation):
            if isinstance(value, list) and all(isinstance(entry, dict) for entry in value):
                kept[key] = [_only_tables(inner, entry) for entry in value]
        elif isinstance(value, dict):
            kept[key] = _only_tables(inner, value)
    return kept


def _is_list(annotation: Any) -> bool:
    return get_origin(annotation) is tuple or any(_is_list(part) for part in get_args(annotation))
