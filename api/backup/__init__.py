"""Copies of a whole farm in SQLite: made while it is served, put back only if every check holds."""
