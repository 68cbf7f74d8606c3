"""The stock: what the log adds up to. The fold is pure; projection tables are disposable."""
