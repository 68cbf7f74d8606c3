"""What people did, as immutable records: the vocabulary (kinds), the log, and its tables."""
