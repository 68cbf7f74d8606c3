"""Running a migration's plain SQL on whichever engine the tables are bound to."""

from api.records.tables import Counter


async def run_sql(*scripts: str) -> None:
    """Run each statement of each script; statements end with a semicolon at the end of a line."""
    for script in scripts:
        for statement in script.split(";\n"):
            if statement.strip():
                await Counter.raw(statement.strip()).run()
