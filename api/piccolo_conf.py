"""Where Piccolo's own commands look (PICCOLO_CONF=api.piccolo_conf). The server opens its own."""

from piccolo.conf.apps import AppRegistry
from piccolo.engine.sqlite import SQLiteEngine

DB = SQLiteEngine(path="nubbin.sqlite")
APP_REGISTRY = AppRegistry(apps=["api.piccolo_app"])
