"""How long labels can be read, over HTTP."""

from litestar import get
from litestar.di import NamedDependency

from api.access.problems import DOOR
from api.database import Database
from api.labelling.reading import Looks, read_labels
from api.problems import raises


@get(
    "/api/labels/reading",
    operation_id="labels_reading",
    rule="lead",
    responses=raises(*DOOR),
)
async def reading(db: NamedDependency[Database]) -> list[Looks]:
    """How pieces were found at their checks: by base kind, place of the label and days glued."""
    return await read_labels(db)


routes = [reading]
