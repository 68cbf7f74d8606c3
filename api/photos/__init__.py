"""Photos: taken in parts, read in a process of their own, made again without what a phone adds."""
