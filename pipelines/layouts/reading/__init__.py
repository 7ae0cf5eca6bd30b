"""A reading proposed: what each column of a plain table is, and what has to be asked."""
