"""What a report is asked about: read once for every address that takes the same question."""

from typing import Annotated, NamedTuple

from litestar.di import Provide
from litestar.params import Parameter, QueryParameter

from api.healing.only import EVERYTHING, Only, read_only
from api.healing.traits import OF_TANKS, By
from api.problems import BadRequest
from api.records.fields import Endpoint


class Asked(NamedTuple):
    """What the report is about and how it is put into groups."""

    by: By = "method"
    endpoint: Endpoint = "sale"
    trial: str | None = None
    only: Only = EVERYTHING

    @property
    def needs_tanks(self) -> bool:
        return self.by in OF_TANKS or self.only.needs_tanks


EndpointParameter = Annotated[Endpoint, Parameter(description="ready for sale, or to be cut again")]


def read_asked(
    by: Annotated[By, Parameter(description="what the groups are made by")] = "method",
    endpoint: EndpointParameter = "sale",
    trial: Annotated[
        str | None, Parameter(description="one trial's pieces, by the arms that were drawn")
    ] = None,
    since: Annotated[
        str | None, QueryParameter(name="from", description="only cuts of this date or later")
    ] = None,
    until: Annotated[
        str | None, QueryParameter(name="to", description="only cuts of this date or earlier")
    ] = None,
    only: Annotated[
        list[str] | None, Parameter(description="'trait:value'; may be given more than once")
    ] = None,
) -> Asked:
    """The question of an address; BadRequest where it is none."""
    if by == "arm" and trial is None:
        raise BadRequest("Arms are compared within one trial: name it. Nothing was changed.")
    narrowed = read_only(since, until, only or [])
    return Asked(by if trial is None else "arm", endpoint, trial, narrowed)


ASKED = {"asked": Provide(read_asked, sync_to_thread=False)}
"""The dependency `asked` of every handler that takes this question."""
