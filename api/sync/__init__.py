"""Sync: records come in by push, each with an answer; changes go out by pull, in commit order."""
