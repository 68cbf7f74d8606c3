"""HTTPS inside the building: the farm's own authority, or certificate files from elsewhere."""
