"""An example of rescaling a book."""
