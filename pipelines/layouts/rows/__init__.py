"""Plain tables made rows: a column for each gate, step, set or trial becomes a row for each."""
