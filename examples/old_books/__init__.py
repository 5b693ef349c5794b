"""An example of recipes from two handbooks in the public domain."""
