"""Nubbin's server: labels are issued, pieces cut and glued, checked, added up, and answered for."""
