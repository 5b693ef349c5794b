"""Cards and lists: where recipes begin and end, and what each line says."""
