"""Labels on the server: codes minted once and for good, printed on sheets, and accounted for.

tables.py codes, prints, voids · sheets.py own geometries · printers.py dots and corrections ·
minting.py new codes · printing.py what is printed how · accounting.py unbound, bound, void
"""
