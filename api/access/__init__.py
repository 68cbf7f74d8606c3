"""Who may come in: people, their devices, one-time links, and the sessions that follow."""
