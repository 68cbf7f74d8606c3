"""Bodies read strictly: '"3"' is no 3, 0 is no date, and deep nesting is no server error.

    @post("/api/…", dto=Strict[Question], return_dto=None)
    async def handler(data: Question) -> Answer

The framework's own reading of bodies converts between types; this one decodes the bytes once with
msgspec's strict decoder, and OpenAPI still documents the type.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Generic, TypeVar

import msgspec
from litestar.dto import AbstractDTO
from litestar.typing import FieldDefinition

from api.problems import BadBody, NotJson

if TYPE_CHECKING:
    from collections.abc import Generator

    from litestar._openapi.schema_generation import SchemaCreator
    from litestar.dto import DTOFieldDefinition
    from litestar.dto._backend import DTOBackend
    from litestar.openapi.spec import Reference, Schema

T = TypeVar("T")


@cache
def reader(kind: Any) -> msgspec.json.Decoder[Any]:
    """The one strict decoder of a type."""
    return msgspec.json.Decoder(kind, strict=True)


def read(body: bytes, kind: Any) -> Any:
    """`body` as a `kind`. Raises NotJson or BadBody with what was wrong and where."""
    try:
        return reader(kind).decode(body)
    except msgspec.ValidationError as error:
        raise BadBody(f"{error}. Nothing was changed.") from error
    except (msgspec.DecodeError, UnicodeDecodeError) as error:
        raise NotJson(f"{error}. Nothing was changed.") from error
    except RecursionError as error:
        raise NotJson("It is nested too deeply to be read. Nothing was changed.") from error


class Strict(AbstractDTO[T], Generic[T]):
    """Reads a handler's `data` with `read`, and shows its type as it is in OpenAPI."""

    def decode_bytes(self, value: bytes) -> Any:
        return read(value, self.model_type)

    @classmethod
    def create_for_field_definition(
        cls,
        field_definition: FieldDefinition,
        handler_id: str,
        backend_cls: type[DTOBackend] | None = None,
    ) -> None:
        """Nothing is generated: the bytes are decoded into the type itself."""

    @classmethod
    def create_openapi_schema(
        cls,
        field_definition: FieldDefinition,
        handler_id: str,  # noqa: ARG003
        schema_creator: SchemaCreator,
    ) -> Reference | Schema:
        return schema_creator.for_field_definition(
            FieldDefinition.from_annotation(field_definition.annotation)
        )

    @classmethod
    def generate_field_definitions(
        cls,
        model_type: type[Any],  # noqa: ARG003
    ) -> Generator[DTOFieldDefinition, None, None]:
        yield from ()

    @classmethod
    def detect_nested_field(cls, field_definition: FieldDefinition) -> bool:  # noqa: ARG003
        return False
