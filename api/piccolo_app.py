"""Piccolo's view of this project: which tables there are and where their migrations lie."""

from pathlib import Path

from piccolo.conf.apps import AppConfig

from api.access import tables as access
from api.labelling import tables as labelling
from api.photos.tables import Photo
from api.records import tables as records
from api.stock import tables as stock

APP_CONFIG = AppConfig(
    app_name="nubbin",
    migrations_folder_path=str(Path(__file__).parent / "migrations"),
    table_classes=[
        records.Counter,
        records.Log,
        records.Held,
        records.Refused,
        records.DeviceClock,
        records.Quarantine,
        stock.Piece,
        stock.Cut,
        stock.Claim,
        stock.Item,
        stock.Word,
        stock.Fact,
        access.Staff,
        access.Device,
        access.Link,
        access.Session,
        access.Holding,
        access.Attempt,
        access.AuditEntry,
        labelling.LabelCode,
        labelling.LabelPrint,
        labelling.LabelSheet,
        labelling.LabelVoid,
        Photo,
    ],
    migration_dependencies=[],
    commands=[],
)
