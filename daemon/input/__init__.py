"""Text that comes from outside: files and CSV rows, with faults that say where."""
